import { at, inverseOf } from './linear-algebra.ts'
import { fitNoise, type NoiseFit } from './noise-fit.ts'
import { type NoiseShape, Whitener } from './noise-likelihood.ts'
import { binRows, type FitRows } from './row-bins.ts'
import { scatterDegrees } from './scatter-degrees.ts'

/** Bins per phase: enough that a bin is a fraction of any correlation time that matters, few enough to be quick. */
export const BINS = 128

/** The generalised least-squares step about a fitted curve, and what its noise says about certainty. */
export interface CorrelatedFit {
  /** Correction of each parameter, in the order of the Jacobian. */
  readonly step: Float64Array
  /** Covariance of the parameters, p×p. */
  readonly covariance: Float64Array
  /** Standard deviation of one reading. */
  readonly readingSd: number
  readonly noise: NoiseShape
  /** Independent readings that would fix the mean as well as these n. */
  readonly effectiveReadings: number
  /** True when the noise parameters are the instrument's own from earlier batches. */
  readonly fromHistory: boolean
  /** For Student's t; at least 1. */
  readonly degreesOfFreedom: number
}
export type { NoiseShape }

/** Noise known beforehand: standard deviation of a reading, correlation time in the unit of the times. */
export interface KnownNoise {
  readonly sd: number
  readonly correlationTime: number
  /** White part of the variance of one reading, 0 to 1. */
  readonly whitePart: number
}

/** Worth fewer independent readings than this, a record cannot tell its own noise. */
const FEW = 10
/** Below this many degrees of freedom a t quantile is set by luck. */
const FEW_DEGREES = 5

/**
 * Parameters and covariance under correlated noise, from the residuals and Jacobian of a least-squares fit. White-noise
 * standard errors of a 1 Hz log are 3 to 10 times too small; here the correlation is estimated by restricted maximum
 * likelihood and the step is generalised least squares. Undefined when the noise cannot be estimated.
 */
export const correlatedFit = (rows: FitRows, history?: KnownNoise): CorrelatedFit | undefined => {
  const p = rows.jacobian.length
  if (rows.readings < p + 3) return undefined
  const bins = binRows(rows, BINS)
  if (bins.times.length < p + 3) return undefined
  const whitener = new Whitener(bins)
  const noise = fitNoise(whitener)
  const scatter = rows.rss / (rows.readings - p)
  const own = noise && solve(whitener, noise, noise.variance, readingVarianceOf(scatter, whitener, noise))
  if (history === undefined) return own
  const known = solveWithHistory(whitener, atLeastAsSeen(history, scatter))
  return own !== undefined && tellsItsNoise(own) && tellsItsNoise(known ?? own)
    ? own
    : known && { ...known, fromHistory: true, degreesOfFreedom: Number.POSITIVE_INFINITY }
}

/**
 * Many readings with few degrees of freedom are slow noise seen once or twice: the instrument's history knows better.
 * Asked of the history too, as a curve that swallowed the slow noise leaves residuals that seem to be worth much.
 */
const tellsItsNoise = ({ effectiveReadings, degreesOfFreedom }: CorrelatedFit): boolean =>
  effectiveReadings >= FEW && degreesOfFreedom >= FEW_DEGREES

/** A record that already scatters more than its history did is not given the history's smaller scatter. */
const atLeastAsSeen = (history: KnownNoise, scatter: number): KnownNoise => ({
  ...history,
  sd: Math.max(history.sd, Math.sqrt(scatter)),
})

const solveWithHistory = (whitener: Whitener, history: KnownNoise): CorrelatedFit | undefined => {
  const slow = 1 - history.whitePart
  const white = history.whitePart / whitener.meanCount
  const shape = { correlationTime: history.correlationTime, whiteShare: white / (slow + white) }
  return solve(whitener, shape, history.sd ** 2 * (slow + white), history.sd ** 2)
}

/** The same with a noise shape and variance known beforehand, such as the instrument's own history. */
export const solve = (
  whitener: Whitener,
  noise: NoiseShape,
  variance: number,
  readingVariance: number,
): CorrelatedFit | undefined => {
  const width = whitener.bins.columns.length
  const p = width - 1
  const { sums } = whitener.whiten(noise)
  const gram = new Float64Array(p * p)
  const step = new Float64Array(p)
  for (let a = 0; a < p; a++) {
    step[a] = at(sums, (a + 1) * width)
    for (let b = 0; b < p; b++) gram[a * p + b] = at(sums, (a + 1) * width + b + 1)
  }
  const inverse = inverseOf(gram, p)
  if (inverse === undefined) return undefined
  return {
    step: multiply(inverse, step),
    covariance: inverse.map((v) => v * variance),
    readingSd: Math.sqrt(readingVariance),
    noise,
    fromHistory: false,
    ...worth(whitener, noise, p, readingVariance / variance),
  }
}

const multiply = (matrix: Float64Array, v: Float64Array): Float64Array =>
  v.map((_, i) => v.reduce((sum, x, j) => sum + at(matrix, i * v.length + j) * x, 0))

/** Bins of more readings than this hide how one reading scatters: then the residuals themselves tell. */
const WIDE_BIN = 8

const readingVarianceOf = (scatter: number, whitener: Whitener, noise: NoiseFit): number =>
  whitener.meanCount > WIDE_BIN
    ? scatter
    : noise.variance * (1 - noise.whiteShare + noise.whiteShare * whitener.meanCount)

/** n_eff from the variance of a mean; the degrees of freedom know of the slow part, which may be worth far less. */
const worth = (whitener: Whitener, noise: NoiseShape, p: number, readingVariance: number) => {
  const { bins, meanCount } = whitener
  const n = bins.times.length
  const ones = new Whitener({ ...bins, columns: [new Float64Array(n).fill(1)] })
  const atMost = readingVariance * at(ones.whiten(noise).sums, 0)
  const effectiveReadings = Math.min(n * meanCount, atMost)
  const degrees = Math.min(effectiveReadings - p, scatterDegrees(bins.times, noise, p))
  return { effectiveReadings, degreesOfFreedom: Math.max(1, degrees) }
}
