import type { Curves, LiveBench } from '../../server/wire.ts'
import { iso, MIN } from './fake-bench.ts'

/** A rise to 21.4 and a decay with a half-life of 30 min, drawn from their equations. */
export const fakeCurves = (now: number, live: LiveBench): Curves => {
  const origin = now - 12 * MIN
  const decaying = live.phase.kind === 'standing'
  const until = decaying ? 5 : 12
  const rise = steps(0, until).map((t): [number, number] => [t, level(t)])
  const decay = decaying ? steps(6, 12).map((t): [number, number] => [t, fallen(t)]) : []
  const ahead = steps(12, 40).map((t): [number, number] => [t, fallen(decaying ? t : t - 6)])
  const around =
    (share: number) =>
    (p: [number, number]): [number, number, number] => [p[0], p[1] * (1 - share), p[1] * (1 + share)]
  return {
    bench: live.bench,
    batch: live.batch?.id ?? null,
    origin: iso(origin),
    fit: live.batch === null ? [] : [...rise, [until + 0.01, null], ...decay],
    fit_band: live.batch === null ? [] : [...rise, ...decay].map(around(0.03)),
    forecast: live.batch === null ? [] : ahead,
    forecast_band:
      live.batch === null
        ? []
        : ahead.map(([t, y]) => [t, y * (1 - 0.04 - (t - 12) * 0.006), y * (1 + 0.04 + (t - 12) * 0.006)]),
    expectation_band:
      live.batch === null ? [] : steps(0, until).map((t) => [t, level(t) * 0.8, level(t) * 1.25]),
    expectation_text: 'what the physics expects, saline 8 °C, gas 60 µg/NmL',
    by_hand: live.metered ? [] : [7, 9.5, 11].map((t): [number, number] => [t, fallen(t)]),
    target_mg_l: live.batch?.target_mg_l ?? null,
    marks:
      live.batch === null
        ? []
        : [
            { at_min: 0, text: 'ozone on' },
            ...(decaying
              ? [
                  { at_min: 5, text: 'ozone off' },
                  { at_min: 6, text: 'flow off' },
                ]
              : []),
          ],
  }
}

export const fakeValue = (t_min: number, decaying: boolean): number =>
  decaying && t_min > 6 ? fallen(t_min) : level(t_min)

const level = (t: number): number => 21.4 * (1 - Math.exp(-0.61 * t))
const fallen = (t: number): number => 20.9 * 2 ** (-(t - 6) / 30)
const steps = (from: number, to: number): number[] =>
  Array.from({ length: 61 }, (_, i) => from + ((to - from) * i) / 60)
