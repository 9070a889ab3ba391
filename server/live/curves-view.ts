import type { LiveEstimate } from '../analysis/live-estimate.ts'
import type { Batch } from '../ledger/batch.ts'
import { type ExpectationInput, expectation } from '../model/expectation.ts'
import { expectedDecay, expectedRise } from '../model/expected-curve.ts'
import { isSpotMode, spotValues } from '../spot/spot-mode.ts'
import type { Curves, LiveBench } from '../wire.ts'

export interface CurveParts {
  readonly bench: string
  readonly batch: Batch | undefined
  readonly estimate: LiveEstimate | undefined
  readonly expectation: ExpectationInput | undefined
  readonly forecast: LiveBench['forecast']
  readonly nowMs: number
}

/** Everything the chart draws besides readings; minutes count from the first ozone-on, else from the opening. */
export const curvesView = (parts: CurveParts): Curves => {
  const { batch, estimate, nowMs } = parts
  const origin = batch ? (batch.ozoneOnAt[0] ?? batch.openedAt) : new Date(nowMs).toISOString()
  const originMs = Date.parse(origin)
  const minutes = (ms: number) => (ms - originMs) / 60_000
  const fitted = estimate?.curves ?? []
  return {
    bench: parts.bench,
    batch: batch?.id ?? null,
    origin,
    fit: fitted.flatMap((curve, i) => [
      ...(i > 0 ? [[minutes((curve.timesUs[0] ?? 0) / 1000), null] as [number, null]] : []),
      ...curve.timesUs.map((t, j): [number, number] => [minutes(t / 1000), curve.mean[j] ?? 0]),
    ]),
    fit_band: fitted.flatMap((curve) =>
      curve.timesUs.map((t, j): [number, number, number] => [
        minutes(t / 1000),
        curve.low[j] ?? 0,
        curve.high[j] ?? 0,
      ]),
    ),
    ...forecastCurve(parts, minutes),
    ...expectationBand(parts, minutes),
    by_hand: (batch ? spotValues(batch) : []).map(({ at, valueMgL }): [number, number] => [
      minutes(Date.parse(at)),
      valueMgL,
    ]),
    ...(batch && isSpotMode(batch) ? { spot_mode: true } : {}),
    target_mg_l: batch?.settings.target_mg_l ?? null,
    marks: batch ? marks(batch, minutes) : [],
  }
}

const FORECAST_POINTS = 24

/** From the value now through the moments the countdown names: what is drawn is what is counted. */
const forecastCurve = (
  { forecast, estimate, nowMs }: CurveParts,
  minutes: (ms: number) => number,
): Pick<Curves, 'forecast' | 'forecast_band'> => {
  const {
    reaches_target_at: reaches,
    early_bound_at: early,
    latest_at: latest,
    target_mg_l: target,
  } = forecast
  const now = estimate?.potency
  if (
    !reaches ||
    !early ||
    !latest ||
    target === null ||
    now === undefined ||
    now.kind === 'none' ||
    now.mgPerL <= target
  )
    return { forecast: [], forecast_band: [] }
  const { mgPerL: value, ci95 } = now
  const [lowNow, highNow] = ci95
  const end = Date.parse(reaches)
  const times = Array.from(
    { length: FORECAST_POINTS + 1 },
    (_, i) => nowMs + ((end - nowMs) * i) / FORECAST_POINTS,
  )
  const along = (from: number, reachesMs: number) => (t: number) =>
    from * Math.exp((Math.log(target / from) * (t - nowMs)) / Math.max(1, reachesMs - nowMs))
  const mean = along(value, end)
  // an edge that already lies under the target fades as fast as the best estimate
  const low = lowNow > target ? along(lowNow, Date.parse(early)) : (t: number) => (lowNow / value) * mean(t)
  const high = along(highNow, Date.parse(latest))
  return {
    forecast: times.map((t) => [minutes(t), mean(t)]),
    forecast_band: times.map((t) => [minutes(t), Math.min(low(t), mean(t)), Math.max(high(t), mean(t))]),
  }
}

const EXPECTATION_POINTS = 60

/** Physics before and beside the data: the rise from ozone-on, and after ozone-off the decay from where the fluid stood. */
const expectationBand = (
  parts: CurveParts,
  minutes: (ms: number) => number,
): Pick<Curves, 'expectation_band' | 'expectation_text'> => {
  const { batch, expectation: input } = parts
  if (!batch || !input) return { expectation_band: [], expectation_text: null }
  const expected = expectation(input)
  const { plateau_mg_l: plateau, half_life_min: life } = expected
  const on = batch.ozoneOnAt[0]
  const off = batch.ozoneOffAt[0]
  const flowOff = batch.flowOffAt[0]
  const riseEnd =
    on === undefined ? 10 : off ? minutes(Date.parse(off)) : Math.max(10, minutes(parts.nowMs) + 2)
  const rise = expectedRise(expected, 0, spread(0, riseEnd))
  const decay = flowOff ? decayBand(parts, minutes, flowOff, expected) : []
  return {
    expectation_band: [...rise.map((p) => [p.minutes, p.low, p.high] as [number, number, number]), ...decay],
    expectation_text: `Physics expects ${plateau.low.toFixed(1)} to ${plateau.high.toFixed(1)} µg/mL at ${input.temperatureC.toFixed(0)} °C, and a half-life of ${life.low.toFixed(0)} to ${life.high.toFixed(0)} min`,
  }
}

const decayBand = (
  parts: CurveParts,
  minutes: (ms: number) => number,
  flowOff: string,
  expected: ReturnType<typeof expectation>,
): [number, number, number][] => {
  const start = minutes(Date.parse(flowOff))
  const startValue = decayStart(parts.estimate)
  if (startValue === undefined) return []
  const end = parts.batch?.discardedAt
    ? minutes(Date.parse(parts.batch.discardedAt))
    : Math.max(start + 20, minutes(parts.nowMs) + 5)
  return expectedDecay(expected, startValue, spread(0, end - start)).map((p) => [
    start + p.minutes,
    p.low,
    p.high,
  ])
}

const decayStart = (estimate: LiveEstimate | undefined): number | undefined => {
  const decay = estimate?.analysis.phases.findLast((phase) => phase.kind === 'decay')
  return decay?.kind === 'decay' && decay.start_mg_l && 'value' in decay.start_mg_l
    ? decay.start_mg_l.value
    : undefined
}

const spread = (from: number, to: number): number[] =>
  Array.from({ length: EXPECTATION_POINTS + 1 }, (_, i) => from + ((to - from) * i) / EXPECTATION_POINTS)

const marks = (batch: Batch, minutes: (ms: number) => number): Curves['marks'] =>
  [
    ...batch.ozoneOnAt.map((at) => ({ at, text: 'ozone on' })),
    ...batch.ozoneOffAt.map((at) => ({ at, text: 'ozone off' })),
    ...batch.flowOffAt.map((at) => ({ at, text: 'flow off' })),
    ...batch.draws.map((draw) => ({ at: draw.at, text: `drawn up ${draw.data.ml} mL` })),
    ...(batch.discardedAt ? [{ at: batch.discardedAt, text: 'discarded' }] : []),
  ].map(({ at, text }) => ({ at_min: minutes(Date.parse(at)), text }))
