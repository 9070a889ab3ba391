import { decayedAt } from '../fit/decay-fit.ts'
import { potencyAt } from '../fit/saturation-fit.ts'
import type { BatchFits, PhaseResult } from './fit-batch.ts'
import type { HeadlineDecay } from './headline-decay.ts'
import { fromReadings, type PotencyNow, type Recent, recentReadings } from './recent-readings.ts'

/** A fit that misses the latest readings by more than this many standard errors is not believed for now. */
const MISSES = 1.5
/** Then the value follows the readings, and a quarter of the miss is added to its uncertainty. */
const MISS_DOUBT = 0.25

/**
 * The fluid's own potency at a moment: by the fit of the phase if it agrees with the latest readings; else the fit moved
 * onto them, as a wrong model must not speak for the flask; without a fit the readings alone.
 */
export const potencyNow = (
  fits: BatchFits,
  result: PhaseResult | undefined,
  atS: number,
): PotencyNow | undefined => {
  const fitted = result && fromFit(result, atS)
  if (result === undefined || fitted === undefined) return fromReadings(fits, result, atS)
  const recent = recentReadings(fits, result, atS)
  const then = recent && meanOfFit(result, recent, lagMin(fits))
  if (recent === undefined || then === undefined) return fitted
  const miss = recent.mean - then.value
  if (Math.abs(miss) < MISSES * Math.hypot(recent.se, then.se)) return fitted
  return { ...fitted, value: fitted.value + miss, se: Math.hypot(fitted.se, recent.se, MISS_DOUBT * miss) }
}

/**
 * What a probe with this lag would show of the fitted fluid, averaged over the times of the readings. A bent curve's mean
 * is not its value at the mean time: by two-point Gauss quadrature, one standard deviation of the times to each side.
 */
const meanOfFit = (result: PhaseResult, { meanS, spreadS }: Recent, lag: number) => {
  const before = fromFit(result, meanS - spreadS)
  const after = fromFit(result, meanS + spreadS)
  if (before === undefined || after === undefined) return undefined
  const shown = (p: PotencyNow) => p.value - lag * p.slope
  return { value: (shown(before) + shown(after)) / 2, se: (before.se + after.se) / 2 }
}

const lagMin = ({ input }: BatchFits): number => (input.probeLag?.tauS ?? 0) / 60

/** Potency by the fitted curve, also past its last reading. Undefined when there is no curve, or none that can be read. */
export const fromFit = (result: PhaseResult, atS: number): PotencyNow | undefined => {
  const read = readCurve(result, atS)
  return read !== undefined && Number.isFinite(read.value) && Number.isFinite(read.se) ? read : undefined
}

const readCurve = (result: PhaseResult, atS: number): PotencyNow | undefined => {
  const minutes = (atS - result.phase.startS) / 60
  if (result.fit === undefined) return undefined
  if (result.kind === 'rise') {
    const { fit } = result
    const { value, se } = potencyAt(fit, minutes)
    return { value, se, slope: fit.rate * (fit.plateau - value), ...quantiles(fit), from: 'fit' }
  }
  if (result.kind === 'purge') {
    const { rate, start, logRateSe, t } = result.fit
    const value = start * Math.exp(-rate * minutes)
    const se = value * Math.hypot(0.01, minutes * rate * logRateSe)
    return { value, se, slope: -rate * value, tTwoSided: t, tOneSided: t * 0.85, from: 'fit' }
  }
  return result.headline && fromHeadline(result.headline, result.lagFactor, minutes)
}

const fromHeadline = (headline: HeadlineDecay, lagFactor: number, minutes: number): PotencyNow => {
  const { fit, clock } = headline
  const here = clock(minutes)
  const { value, se } = decayedAt(fit, here)
  const own = value * lagFactor
  // by difference over six seconds of the clock: the fit's own rate and, where it warms, the temperature's
  const later = decayedAt(fit, clock(minutes + 0.1)).value * lagFactor
  return { value: own, se: se * lagFactor, slope: (later - own) / 0.1, ...quantiles(fit), from: 'fit' }
}

const quantiles = (fit: { readonly t: number; readonly tOneSided: number }) => ({
  tTwoSided: fit.t,
  tOneSided: fit.tOneSided,
})

export type { PotencyNow }
