import { type BlockMedians, blockMedians } from '../fit/block-medians.ts'
import { at } from '../fit/linear-algebra.ts'
import { exponentialShape, laggedShape, type RateShape } from '../fit/rate-shape.ts'
import { worthOf } from '../fit/residual-worth.ts'
import type { SaturationFit } from '../fit/saturation-fit.ts'
import { fitSeparable } from '../fit/separable-fit.ts'
import { riseModel } from '../fit/separable-model.ts'
import type { PhaseReadings } from './phase-readings.ts'

/** Time constants of dissolved-ozone probes in use, minutes: 2 s to 90 s. Common practice, no source. */
const CANDIDATES = [2, 5, 8, 12, 18, 25, 35, 50, 70, 90].map((s) => s / 60)
/** A change of the rate smaller than this does not matter to anyone. */
const MATTERS = 0.03
/** A lag below this part of a time constant biases the rate by less than 2 %. */
const HARMLESS = 0.05
/** 95 % point of χ² with one degree of freedom, one-sided. */
const ALLOWED = 2.71

/**
 * Whether an unmeasured probe response could matter to the rate of this rise. The reading of a slow probe starts late
 * and bent; a late start alone is only gas on its way. So each candidate τ is fitted with the delay that the late
 * start leaves for it, and counts if the data do not reject it. True when one that counts moves the rate by 3 %.
 */
export const lagCouldMatter = (readings: PhaseReadings, fit: SaturationFit): boolean => {
  if (latestStart(readings, fit) * fit.rate < HARMLESS) return false
  const thin = blockMedians(readings.times, readings.values, 150)
  const upper = upperPart(thin, fit)
  if (upper === undefined) return false
  const late = lateBy(firstReadings(readings), upper)
  if (late * upper.rate < MATTERS / 2) return false
  const plain = left(thin, exponentialShape(undefined), upper.rate, late)
  const tried = CANDIDATES.filter((tau) => asLate(tau, upper.rate) <= late * 1.3 + 2 / 60).map((tau) => {
    const delay = Math.max(0, late - asLate(tau, upper.rate))
    return left(thin, laggedShape(tau), upper.rate, delay)
  })
  const best = [plain, ...tried].reduce((a, b) => (b.rss < a.rss ? b : a))
  const counts = (t: { rss: number }) => best.worth * Math.log(t.rss / best.rss) < ALLOWED
  return tried.some((t) => counts(t) && Math.abs(t.logRate - Math.log(fit.rate)) > MATTERS)
}

/** Minutes by which the rise may at most start late, one-sided 95 %; large when one exponential does not fit. */
const latestStart = (readings: PhaseReadings, fit: SaturationFit): number => {
  const late = lateBy(firstReadings(readings), fit)
  const se = Math.sqrt(at(fit.covariance, 4)) / (fit.rate * (fit.plateau - fit.start))
  return late + fit.tOneSided * se
}

interface Rise {
  readonly plateau: number
  readonly start: number
  readonly rate: number
}

/** The rise above half its plateau, where a probe's own transient is mostly over. */
const upperPart = (thin: BlockMedians, fit: SaturationFit): Rise | undefined => {
  const last = thin.values.slice(-9).sort()
  const top = Math.min(fit.plateau, at(last, last.length >> 1) * 1.05)
  const first = thin.values.findIndex((v) => v > top / 2)
  const times = thin.times.subarray(Math.max(0, first))
  if (times.length < 8) return undefined
  const upper = fitSeparable(
    riseModel(times, exponentialShape(undefined)),
    thin.values.subarray(Math.max(0, first)),
    {
      start: fit.rate,
      lowest: fit.rate / 20,
      highest: fit.rate * 20,
      tolerance: 1e-5,
    },
  )
  if (upper.kind === 'refused') return undefined
  const plateau = at(upper.linear, 0)
  return { plateau, start: plateau + at(upper.linear, 1), rate: upper.rate }
}

/** Minutes by which the exponential passes the first readings later than they were taken. */
const lateBy = (first: FirstReadings, { plateau, start, rate }: Rise): number => {
  const base = Math.min(first.level, plateau * 0.9)
  return Math.max(0, Math.log((plateau - start) / (plateau - base)) / rate - first.minutes)
}

interface FirstReadings {
  readonly level: number
  readonly minutes: number
}

/** Median of the first few readings and when they were taken: a quick rise is some way up by then. */
const firstReadings = (readings: PhaseReadings): FirstReadings => {
  const values = readings.values.slice(0, 5).sort()
  const times = readings.times.subarray(0, values.length)
  return { level: at(values, values.length >> 1), minutes: at(times, times.length >> 1) }
}

/** How late a lagged rise looks once its transient is over · ln(q/(q − k))/k with q = 1/τ; without end at kτ = 1. */
const asLate = (tau: number, rate: number): number =>
  rate * tau >= 0.9 ? 2.6 / rate : -Math.log(1 - rate * tau) / rate

interface Tried {
  readonly rss: number
  readonly logRate: number
  /** Independent readings the residuals are worth. */
  readonly worth: number
}

const left = (data: BlockMedians, shape: RateShape, rate: number, delay: number): Tried => {
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
  if (fit.kind === 'refused')
    return { rss: Number.POSITIVE_INFINITY, logRate: Number.NEGATIVE_INFINITY, worth: 1 }
  return { rss: fit.rss, logRate: Math.log(fit.rate), worth: worthOf(fit.residuals) }
}
