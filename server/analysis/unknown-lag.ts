import { blockMedians } from '../fit/block-medians.ts'
import { at } from '../fit/linear-algebra.ts'
import { exponentialShape, laggedShape, type RateShape } from '../fit/rate-shape.ts'
import type { SaturationFit } from '../fit/saturation-fit.ts'
import { fitSeparable } from '../fit/separable-fit.ts'
import { riseModel } from '../fit/separable-model.ts'
import type { PhaseReadings } from './phase-readings.ts'

/** Time constants of dissolved-ozone probes in use, minutes: 2 s to 90 s. Common practice, no source. */
const CANDIDATES = [2, 5, 8, 12, 18, 25, 35, 50, 70, 90].map((s) => s / 60)
/** A change of the rate smaller than this does not matter to anyone. */
const MATTERS = 0.03
/** 95 % point of χ² with one degree of freedom, one-sided. */
const ALLOWED = 2.71

/**
 * Whether an unmeasured probe response could matter to the rate of this rise. The reading of a slow probe starts late
 * and bent; a late start alone is only gas on its way. So each candidate τ is fitted with the delay that the late
 * start leaves for it, and counts if the data do not reject it. True when one that counts moves the rate by 3 %.
 */
export const lagCouldMatter = (readings: PhaseReadings, fit: SaturationFit): boolean => {
  const late = lateBy(readings, fit)
  if (late * fit.rate < MATTERS / 2) return false
  const early = blockMedians(readings.times, readings.values, 150)
  const plain = left(early, exponentialShape(undefined), fit.rate, late)
  const tried = CANDIDATES.filter((tau) => asLate(tau, fit.rate) <= late * 1.3 + 2 / 60).map((tau) => {
    const delay = Math.max(0, late - asLate(tau, fit.rate))
    return left(early, laggedShape(tau), fit.rate, delay)
  })
  const best = Math.min(plain.rss, ...tried.map((t) => t.rss))
  const worth = Math.min(fit.curve.effectiveReadings, early.times.length)
  const counts = (t: { rss: number }) => worth * Math.log(t.rss / best) < ALLOWED
  return tried.some((t) => counts(t) && t.logRate - Math.log(fit.rate) > MATTERS)
}

/** Minutes by which the fitted exponential leaves the starting level after t = 0. */
const lateBy = (readings: PhaseReadings, fit: SaturationFit): number => {
  const base = Math.min(startingLevel(readings), fit.plateau * 0.9)
  const folds = Math.log((fit.plateau - fit.start) / (fit.plateau - base))
  return Math.max(0, folds / fit.rate)
}

/** Median of the first few readings: what the meter showed before the ozone reached it. */
const startingLevel = (readings: PhaseReadings): number => {
  const first = readings.values.slice(0, 5).sort()
  return at(first, first.length >> 1)
}

/** How late a lagged rise looks once its transient is over · ln(q/(q − k))/k with q = 1/τ; without end at kτ = 1. */
const asLate = (tau: number, rate: number): number =>
  rate * tau >= 0.9 ? 2.6 / rate : -Math.log(1 - rate * tau) / rate

const left = (
  data: { times: Float64Array; values: Float64Array },
  shape: RateShape,
  rate: number,
  delay: number,
): { rss: number; logRate: number } => {
  const shifted: RateShape = (r, times, g, slope) =>
    shape(
      r,
      times.map((t) => Math.max(0, t - delay)),
      g,
      slope,
    )
  const fit = fitSeparable(riseModel(data.times, shifted), data.values, {
    start: rate,
    lowest: rate / 10,
    highest: rate * 30,
    tolerance: 1e-4,
  })
  return fit.kind === 'refused'
    ? { rss: Number.POSITIVE_INFINITY, logRate: Number.NEGATIVE_INFINITY }
    : { rss: fit.rss, logRate: Math.log(fit.rate) }
}
