import type { EntryData } from '../ledger/entry.ts'
import type { LiveBench } from '../wire.ts'
import type { BenchState } from './bench-state.ts'

export type ValueAtDraw = NonNullable<EntryData<'drawn-up'>['at_draw']>

/** A moment this close to the newest value takes the value shown. */
const SAME_MOMENT_MS = 3000
/** Readings further away than this do not tell the value at a moment. */
const FAR_S = 5

/**
 * Value in the flask at a moment of the recent past: what the screen showed then, or the mean of the readings
 * around that moment, with the present width of the band; between single readings what is estimated for now. Null when
 * nothing measured is near and nothing is estimated.
 */
export const valueAt = (state: BenchState, live: LiveBench, atMs: number): ValueAtDraw | null => {
  const { potency } = live
  const measured = potency.at !== null && (potency.state === 'live' || potency.state === 'by-hand')
  if (
    measured &&
    potency.value_mg_l !== null &&
    Math.abs(Date.parse(potency.at ?? '') - atMs) < SAME_MOMENT_MS
  )
    return {
      value_mg_l: potency.value_mg_l,
      low_mg_l: potency.low_mg_l,
      high_mg_l: potency.high_mg_l,
      basis: 'measured',
      calibrated: potency.calibration !== null,
    }
  // between spot readings the meter does not see the flask
  const mean = live.spot_mode ? undefined : meanAround(state, atMs)
  if (mean === undefined) return estimated(live, atMs)
  const half =
    potency.low_mg_l === null || potency.high_mg_l === null
      ? null
      : (potency.high_mg_l - potency.low_mg_l) / 2
  return {
    value_mg_l: mean,
    low_mg_l: half === null ? null : Math.max(0, mean - half),
    high_mg_l: half === null ? null : mean + half,
    basis: 'measured',
    calibrated: potency.calibration !== null,
  }
}

/** An estimate for now stands for a moment this close to now. */
const NOW_MS = 60_000

/** Between single readings: the middle and the ends of what is estimated now, called an estimate wherever it is told. */
const estimated = ({ estimate_now: now, at, potency }: LiveBench, atMs: number): ValueAtDraw | null =>
  now && Math.abs(Date.parse(at) - atMs) < NOW_MS
    ? {
        value_mg_l: (now.low_mg_l + now.high_mg_l) / 2,
        low_mg_l: now.low_mg_l,
        high_mg_l: now.high_mg_l,
        basis: 'estimate',
        calibrated: potency.calibration !== null,
      }
    : null

const meanAround = ({ potency }: BenchState, atMs: number): number | undefined => {
  const newest = potency.newest
  if (!newest) return undefined
  const atS = newest.elapsedS + (atMs - newest.timeUs / 1000) / 1000
  const times = potency.timesS.view()
  const values = potency.values.view()
  let sum = 0
  let count = 0
  for (let i = times.length - 1; i >= 0; i--) {
    const away = (times[i] ?? 0) - atS
    if (away < -FAR_S) break
    const value = values[i] ?? Number.NaN
    if (away > FAR_S || Number.isNaN(value)) continue
    sum += value
    count += 1
  }
  return count === 0 ? undefined : sum / count
}
