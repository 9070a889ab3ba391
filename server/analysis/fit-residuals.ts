import { at } from '../fit/linear-algebra.ts'
import type { PhaseResult } from './fit-batch.ts'
import { fromFit } from './potency-now.ts'

/** Readings a fit used, thinned evenly: minutes since the start of the phase, mg/L, and reading less what the fit says. */
export interface SeenReadings {
  readonly minutes: readonly number[]
  readonly values: readonly number[]
  readonly residuals: readonly number[]
}

export const NOTHING_SEEN: SeenReadings = { minutes: [], values: [], residuals: [] }

/** At most `most` of the readings that a phase was fitted to, evenly thinned, those it set aside left out. */
export const fitResiduals = (result: PhaseResult, most: number, lagMin: number): SeenReadings => {
  if (result.kind === 'purge' || result.fit === undefined) return NOTHING_SEEN
  const { times, values } = result.readings
  const { outliers } = result.fit.curve
  // behind a probe of unknown response a rise is fitted to its later readings only
  const first = times.length - outliers.length
  const used = Array.from(outliers.keys()).filter((i) => at(outliers, i) !== 1)
  const every = Math.max(1, used.length / most)
  const seen = Array.from({ length: Math.min(most, used.length) }, (_, j) => used[Math.floor(j * every)] ?? 0)
  const rows = seen.flatMap((i) => {
    const minutes = at(times, first + i)
    const shown = shownAt(result, minutes, lagMin)
    const value = at(values, first + i)
    return shown === undefined ? [] : [{ minutes, value, residual: value - shown }]
  })
  return {
    minutes: rows.map((r) => r.minutes),
    values: rows.map((r) => r.value),
    residuals: rows.map((r) => r.residual),
  }
}

/**
 * What a probe with lag τ shows of the fitted fluid. Of a rise from its start, Css − (Css − C0)(e^(−kt) − kτ·e^(−t/τ))/(1 − kτ);
 * of a decay, after the probe has settled, C − τ·dC/dt.
 */
const shownAt = (
  result: Exclude<PhaseResult, { kind: 'purge' }>,
  minutes: number,
  lagMin: number,
): number | undefined => {
  if (result.kind === 'rise' && result.fit !== undefined && result.phase.startSeen && lagMin > 0) {
    const { plateau, start, rate } = result.fit
    return plateau - (plateau - start) * laggedFall(rate, lagMin, minutes)
  }
  const fitted = fromFit(result, result.phase.startS + 60 * minutes)
  return fitted && fitted.value - lagMin * fitted.slope
}

/** e^(−kt) behind a lag that it entered at rest; where kτ = 1, its limit e^(−kt)(1 + kt). */
const laggedFall = (rate: number, lag: number, minutes: number): number => {
  const own = 1 - rate * lag
  const fall = Math.exp(-rate * minutes)
  return Math.abs(own) < 1e-6
    ? fall * (1 + rate * minutes)
    : (fall - rate * lag * Math.exp(-minutes / lag)) / own
}
