import { at } from '../fit/linear-algebra.ts'
import { tQuantiles } from '../fit/student-t.ts'
import { lowerBound } from '../phase/lower-bound.ts'
import { SETTLING, USABLE } from './aside.ts'
import type { BatchFits, PhaseResult } from './fit-batch.ts'

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

/** Latest readings of a phase: their mean, where in time it stands, how widely they are spread, and how well it is known. */
export interface Recent {
  readonly mean: number
  readonly meanS: number
  /** Standard deviation of their times, s. */
  readonly spreadS: number
  readonly se: number
}

/** A fit is held against the readings of this long, s. */
const COMPARED_S = 90
/** Without a fit the readings of this long speak. */
const SPEAKS_S = 15

/** The newest readings a fit used, to hold it against. Undefined when there are none. */
export const recentReadings = (fits: BatchFits, result: PhaseResult, atS: number): Recent | undefined => {
  const last = newest(fits, atS, (code) => code === USABLE)
  if (last < 0 || at(fits.readings.timesS, last) < result.phase.startS) return undefined
  const percent = fits.input.readingUPercent
  if (percent !== undefined) {
    const value = at(fits.readings.values, last)
    return { mean: value, meanS: at(fits.readings.timesS, last), spreadS: 0, se: spotSe(value, percent) }
  }
  const { mean, meanS, spreadS, sd, spanS } = summary(
    fits,
    result,
    last,
    COMPARED_S,
    (code) => code === USABLE,
  )
  // noise of bubbles wanders: a stretch is worth one reading, and one more for every two correlation times
  const wanders =
    result.kind === 'purge' || result.fit === undefined ? 20 : 60 * result.fit.curve.noise.correlationTime
  return { mean, meanS, spreadS, se: sd / Math.sqrt(1 + spanS / (2 * Math.max(5, Math.min(60, wanders)))) }
}

/**
 * Potency from the readings alone. Their error counts them as one independent reading, which 1 Hz noise makes of them;
 * a known probe lag is taken out by the slope, which widens the error.
 */
export const fromReadings = (
  fits: BatchFits,
  current: PhaseResult | undefined,
  atS: number,
): PotencyNow | undefined => {
  const last = lastUsable(fits, atS)
  if (last < 0) return undefined
  // a phase that has only just begun has no reading yet: the ones before it are the latest there are
  const hasBegun = current !== undefined && at(fits.readings.timesS, last) >= current.phase.startS
  const result = hasBegun ? current : undefined
  const percent = fits.input.readingUPercent
  if (percent !== undefined) {
    const value = at(fits.readings.values, last)
    return { value, se: spotSe(value, percent), slope: 0, ...normal, from: 'last-readings' }
  }
  const lagS = result === undefined ? 0 : (fits.input.probeLag?.tauS ?? 0)
  const { mean, meanS, sd, spanS, slope, count } = summary(
    fits,
    result,
    last,
    Math.max(SPEAKS_S, lagS),
    isPresent,
  )
  const ahead = count < 3 ? 0 : at(fits.readings.timesS, last) - meanS + lagS
  const slopeSe = count < 3 ? 0 : (sd * Math.sqrt(12)) / Math.max(1, spanS)
  const { twoSided, oneSided } = tQuantiles(Math.max(2, Math.min(10, count - 1)))
  return {
    value: mean + ahead * slope,
    se: Math.hypot(sd, ahead * slopeSe),
    slope: 60 * slope,
    tTwoSided: twoSided,
    tOneSided: oneSided,
    from: 'last-readings',
  }
}

const normal = { tTwoSided: 1.959964, tOneSided: 1.644854 }

const spotSe = (value: number, percent: number): number => (percent / 100) * Math.max(1, Math.abs(value))

/** Mean, scatter about the slope, and slope per second of the usable readings in the stretch that ends at `last`. */
const summary = (
  fits: BatchFits,
  result: PhaseResult | undefined,
  last: number,
  stretchS: number,
  counts: (code: number | undefined) => boolean,
) => {
  const { timesS, values, resolution } = fits.readings
  const from = Math.max(
    lowerBound(timesS, at(timesS, last) - stretchS),
    result === undefined ? 0 : lowerBound(timesS, sameFluidFromS(result, at(timesS, last))),
  )
  const taken: number[] = []
  for (let i = from; i <= last; i++) if (counts(fits.aside[i])) taken.push(i)
  const count = taken.length
  const mean = taken.reduce((s, i) => s + at(values, i), 0) / count
  const meanS = taken.reduce((s, i) => s + at(timesS, i), 0) / count
  let tt = 0
  let ty = 0
  let yy = 0
  for (const i of taken) {
    const t = at(timesS, i) - meanS
    const y = at(values, i) - mean
    tt += t * t
    ty += t * y
    yy += y * y
  }
  const slope = count < 3 || tt === 0 ? 0 : ty / tt
  const scatter = Math.max(0, yy - slope * ty) / Math.max(1, count - 2)
  const own =
    result === undefined || result.kind === 'purge' || result.fit === undefined
      ? 0
      : result.fit.curve.readingSd
  const sd = Math.max(Math.sqrt(scatter), own, resolution / Math.sqrt(12))
  return {
    mean,
    meanS,
    spreadS: Math.sqrt(tt / count),
    sd,
    slope,
    count,
    spanS: at(timesS, last) - at(timesS, taken[0] ?? last),
  }
}

/** A draw-up may step the reading: what came before it says nothing of the flask now. */
const sameFluidFromS = ({ phase }: PhaseResult, untilS: number): number =>
  Math.max(phase.startS, ...phase.drawnUpS.filter((s) => s <= untilS))

/** Index of the newest reading at or before a moment that is not set aside; −1 when there is none. */
export const lastUsable = (fits: BatchFits, atS: number): number => {
  return newest(fits, atS, isPresent)
}

const newest = (fits: BatchFits, atS: number, counts: (code: number | undefined) => boolean): number => {
  let i = lowerBound(fits.readings.timesS, atS + 1e-9) - 1
  while (i >= 0 && !counts(fits.aside[i])) i--
  return i
}

/** A settling reading is no use for a decay, but it is what the probe shows now. */
const isPresent = (code: number | undefined): boolean => code === USABLE || code === SETTLING
