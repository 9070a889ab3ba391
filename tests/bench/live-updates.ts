import { timeUs } from '../../ingest/units.ts'
import type { AnalysisInput } from '../../server/analysis/input.ts'
import { createLiveEstimator, liveEstimate } from '../../server/analysis/live.ts'
import { noiseOf } from '../server/fit/random.ts'
import { median, type Row } from './row.ts'

const RISE_S = 1200
const CURVE_POINTS = 80
const WARM_UP = 100
const ROUNDS = 200
const AGES_S = [600, 1800, 3600, 10_800, 21_600] as const
const LONGEST_S = RISE_S + 21_600

type Open = 'rise' | 'decay'

/** Readings at 1 Hz in noise of sd 0.2: bubbled for 20 min and standing since, or bubbling all the time. */
const batchOf = (open: Open): AnalysisInput => {
  const timesS = Float64Array.from({ length: LONGEST_S }, (_, i) => i)
  const noise = noiseOf(LONGEST_S, { sd: 0.2, correlationS: 20, white: 0.3 }, 3)
  const potencyMgPerL = timesS.map((s, i) => {
    const minute = s / 60
    const isRise = open === 'rise' || s < RISE_S
    return (
      (isRise ? 20 * (1 - Math.exp(-0.3 * minute)) : 19.95 * 2 ** (-(minute - 20) / 90)) + (noise[i] ?? 0)
    )
  })
  const off = [
    { kind: 'ozone-off', atS: RISE_S },
    { kind: 'flow-off', atS: RISE_S },
  ] as const
  return {
    startUs: timeUs(0),
    timesS,
    potencyMgPerL,
    temperature: { timesS, celsius: timesS.map(() => 20) },
    events: [{ kind: 'ozone-on', atS: 0 }, ...(open === 'rise' ? [] : off)],
    probeLag: { tauS: 10, uS: 1 },
    targetMgPerL: 5,
    calibration: { uRelative: 0.03, uZeroMgPerL: 0.1 },
    expectation: {
      fluid: 'saline',
      volumeMl: 250,
      gas: { ugPerMl: 60, reference: 'normal-0c-101kpa' },
      flowMlPerMin: 500,
      temperatureC: 20,
    },
    nowS: LONGEST_S,
  }
}

const after = (batch: AnalysisInput, n: number): AnalysisInput => ({
  ...batch,
  timesS: batch.timesS.subarray(0, n),
  potencyMgPerL: batch.potencyMgPerL.subarray(0, n),
  temperature: {
    timesS: batch.timesS.subarray(0, n),
    celsius: (batch.temperature?.celsius ?? batch.timesS).subarray(0, n),
  },
  events: batch.events.filter((e) => e.atS < n),
  nowS: n,
})

/** Median ms of an update that brings `step` new readings, the last of them the n-th. */
const updateMs = (batch: AnalysisInput, n: number, step: number, rounds = ROUNDS): number => {
  const live = createLiveEstimator()
  const times: number[] = []
  for (let round = Math.max(1 - Math.floor(n / step), -WARM_UP - rounds) + 1; round <= 0; round++) {
    const input = after(batch, n + step * round)
    const start = performance.now()
    live(input, CURVE_POINTS)
    if (round > -rounds) times.push(performance.now() - start)
  }
  return median(times)
}

const afreshMs = (batch: AnalysisInput, n: number): number => {
  const input = after(batch, n)
  return median(
    Array.from({ length: 40 }, () => {
      const start = performance.now()
      liveEstimate(input, CURVE_POINTS)
      return performance.now() - start
    }),
  )
}

const age = (s: number): string => (s < 3600 ? `${s / 60} min` : `${s / 3600} h`)

/** What one more reading costs a bench, at each age of the open phase, beside one fit of 1 h by the peer. */
export const liveUpdateRows = (scipyMs: number | undefined): Row[] => {
  const row = (what: string, ms: number, budget: string): Row => ({
    what,
    ours: `${ms.toFixed(2)} ms`,
    peer: scipyMs === undefined ? 'scipy is not installed' : `${scipyMs.toFixed(2)} ms one scipy fit of 1 h`,
    ratio: scipyMs === undefined ? null : ms / scipyMs,
    budget,
  })
  return (['decay', 'rise'] as const).flatMap((open) => {
    const batch = batchOf(open)
    const begun = open === 'rise' ? 0 : RISE_S
    const rows = AGES_S.map((s) => {
      const ms = updateMs(batch, begun + s, 1)
      return row(`live update of a bench, ${age(s)} into a ${open}`, ms, s <= 10_800 ? '≤ 5 ms' : 'none')
    })
    const n = begun + 10_800
    const [one, sixty] = [updateMs(batch, n, 1, 60), updateMs(batch, n, 60, 60)]
    return [
      ...rows,
      row(`the same at 3 h, of it for each new reading (60 at once)`, Math.max(0, sixty - one) / 59, 'none'),
      row(`the same at 3 h with nothing kept`, afreshMs(batch, n), 'none'),
    ]
  })
}
