import { decayedAt } from '../fit/decay-fit.ts'
import { at } from '../fit/linear-algebra.ts'
import { potencyAt } from '../fit/saturation-fit.ts'
import { tQuantiles } from '../fit/student-t.ts'
import { lowerBound } from '../phase/lower-bound.ts'
import { SETTLING, USABLE } from './aside.ts'
import type { BatchFits, PhaseResult } from './fit-batch.ts'
import type { HeadlineDecay } from './headline-decay.ts'

/** Potency at a moment with the standard error of that mean and the t quantiles that go with it. */
export interface PotencyNow {
  readonly value: number
  readonly se: number
  readonly tTwoSided: number
  readonly tOneSided: number
  /** mg/L per minute. */
  readonly slope: number
  readonly from: 'fit' | 'last-readings'
}

/** Readings of the last quarter minute stand in while there is no fit. */
const RECENT_S = 15
/** A fit that misses the latest readings by more than this many of their standard errors is not believed for now. */
const MISSES = 4

/** The fluid's own potency at a moment: from the fit of the phase if it agrees with the latest readings, else from them. */
export const potencyNow = (
  fits: BatchFits,
  result: PhaseResult | undefined,
  atS: number,
): PotencyNow | undefined => {
  const fitted = result && fromFit(result, atS)
  const recent = fromRecent(fits, result, atS)
  if (fitted === undefined || recent === undefined) return fitted ?? recent
  const lagShift = fits.input.probeLag === undefined ? 0 : (fits.input.probeLag.tauS / 60) * fitted.slope
  const miss = Math.abs(recent.value + lagShift - fitted.value)
  const noise = Math.hypot(recent.se, fitted.se)
  return miss > MISSES * noise ? { ...recent, value: recent.value + lagShift, slope: fitted.slope } : fitted
}

/** Potency by the fitted curve, also past its last reading. */
export const fromFit = (result: PhaseResult, atS: number): PotencyNow | undefined => {
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

/** Mean of the latest usable readings; its error takes them as one or two independent ones, which 1 Hz noise makes them. */
const fromRecent = (
  fits: BatchFits,
  result: PhaseResult | undefined,
  atS: number,
): PotencyNow | undefined => {
  const { timesS, values } = fits.readings
  const last = lastUsable(fits, atS)
  if (last < 0) return undefined
  const percent = fits.input.readingUPercent
  if (percent !== undefined) {
    const se = (percent / 100) * Math.max(1, Math.abs(at(values, last)))
    return { value: at(values, last), se, slope: 0, ...tNormal, from: 'last-readings' }
  }
  const first = Math.max(
    lowerBound(timesS, at(timesS, last) - RECENT_S),
    result === undefined ? 0 : lowerBound(timesS, result.phase.startS),
  )
  const taken: number[] = []
  for (let i = first; i <= last; i++) if (isPresent(fits.aside[i])) taken.push(at(values, i))
  if (taken.length === 0) return undefined
  const mean = taken.reduce((s, v) => s + v, 0) / taken.length
  const variance = taken.reduce((s, v) => s + (v - mean) ** 2, 0) / Math.max(1, taken.length - 1)
  const own = result?.kind !== 'purge' && result?.fit !== undefined ? result.fit.curve.readingSd : 0
  const sd = Math.max(Math.sqrt(variance), own, fits.readings.resolution / Math.sqrt(12))
  const { twoSided, oneSided } = tQuantiles(Math.max(2, Math.min(10, taken.length - 1)))
  return { value: mean, se: sd, slope: 0, tTwoSided: twoSided, tOneSided: oneSided, from: 'last-readings' }
}

const tNormal = { tTwoSided: 1.959964, tOneSided: 1.644854 }

/** Index of the newest reading at or before a moment that is not set aside; −1 when there is none. */
export const lastUsable = (fits: BatchFits, atS: number): number => {
  let i = lowerBound(fits.readings.timesS, atS + 1e-9) - 1
  while (i >= 0 && !isPresent(fits.aside[i])) i--
  return i
}

/** A settling reading is no use for a decay, but it is what the probe shows now. */
const isPresent = (code: number | undefined): boolean => code === USABLE || code === SETTLING
