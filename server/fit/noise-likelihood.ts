import { at, choleskyInPlace } from './linear-algebra.ts'
import { type MeanOfSlowNoise, meanOfSlowNoise, spacingOf } from './mean-of-slow-noise.ts'
import type { RowBins } from './row-bins.ts'
import { dot } from './separable-fit.ts'

/**
 * Noise of one channel: a slow part with correlation e^(−|h|/τ) and a white part (rounding, electronics).
 * `whiteShare`, 0 to 1: white variance of the mean of an average bin, beside the slow variance of one reading.
 */
export interface NoiseShape {
  readonly correlationTime: number
  readonly whiteShare: number
}

/** What one pass over the bins yields, for V of unit variance: slow of one reading and white of an average bin together. */
export interface Whitened {
  /** width × width sums AᵀV⁻¹A of the columns A = [residual, Jacobian…], row-major, symmetric. */
  readonly sums: Float64Array
  readonly logDeterminant: number
}

/**
 * AᵀV⁻¹A and ln|V| in O(bins), by the innovations of a scalar Kalman filter whose two noises are correlated, as a bin is
 * a mean over time; a gap costs nothing, as the state simply forgets by e^(−Δ/τ). Kalman, J. Basic Eng. 82, 35 (1960);
 * correlated noises: Anderson & Moore, Optimal Filtering (1979), §5.5.
 */
export class Whitener {
  readonly bins: RowBins
  readonly meanCount: number
  private readonly spacing: number
  /** Between the last reading of the bin before and the first of this one. */
  private readonly gaps: Float64Array
  private readonly kept: Float64Array
  private readonly given: Float64Array
  private readonly gain: Float64Array
  private readonly inverseRoot: Float64Array
  private readonly innovations: Float64Array[]

  constructor(bins: RowBins) {
    const n = bins.times.length
    this.bins = bins
    this.meanCount = bins.counts.reduce((sum, c) => sum + c, 0) / n
    this.spacing = spacingOf(bins.times, bins.counts)
    this.gaps = gapsOf(bins, this.spacing)
    this.kept = new Float64Array(n)
    this.given = new Float64Array(n)
    this.gain = new Float64Array(n)
    this.inverseRoot = new Float64Array(n)
    this.innovations = bins.columns.map(() => new Float64Array(n))
  }

  whiten(noise: NoiseShape): Whitened {
    const logDeterminant = this.filterVariances(noise)
    const width = this.innovations.length
    for (let c = 0; c < width; c++) this.innovate(c)
    const sums = new Float64Array(width * width)
    for (let c = 0; c < width; c++)
      for (let d = 0; d <= c; d++) {
        const sum = dot(this.innovations[c] as Float64Array, this.innovations[d] as Float64Array)
        sums[c * width + d] = sum
        sums[d * width + c] = sum
      }
    return { sums, logDeterminant }
  }

  /** Gains depend on the noise shape only, never on the readings. Logarithms are taken of products of eight. */
  private filterVariances(noise: NoiseShape): number {
    const { gaps, spacing } = this
    const { counts } = this.bins
    const slow = 1 - noise.whiteShare
    const white = noise.whiteShare * this.meanCount
    let variance = slow
    let logDeterminant = 0
    let product = 1
    let mean: MeanOfSlowNoise | undefined
    for (let i = 0; i < gaps.length; i++) {
      const [count, gap] = [counts[i] as number, gaps[i] as number]
      if (mean === undefined || count !== counts[i - 1] || gap !== gaps[i - 1])
        mean = meanOfSlowNoise(count, spacing, gap, noise.correlationTime)
      const { kept, given, own, shared } = mean
      const total = given * given * variance + slow * own + white / count
      const gain = (kept * given * variance + slow * shared) / total
      this.kept[i] = kept
      this.given[i] = given
      this.gain[i] = gain
      this.inverseRoot[i] = 1 / Math.sqrt(total)
      product *= total
      if ((i & 7) === 7) {
        logDeterminant += Math.log(product)
        product = 1
      }
      variance = Math.max(0, slow + kept * kept * (variance - slow) - gain * gain * total)
    }
    return logDeterminant + Math.log(product)
  }

  private innovate(c: number): void {
    const { kept, given, gain, inverseRoot } = this
    const column = this.bins.columns[c] as Float64Array
    const out = this.innovations[c] as Float64Array
    let state = 0
    for (let i = 0; i < column.length; i++) {
      const difference = (column[i] as number) - (given[i] as number) * state
      state = (kept[i] as number) * state + (gain[i] as number) * difference
      out[i] = difference * (inverseRoot[i] as number)
    }
  }
}

/** Readings of a bin are taken to stand together about its time; two bins that touch are one step apart, not less. */
const gapsOf = ({ times, counts }: RowBins, spacing: number): Float64Array =>
  times.map((t, i) => {
    if (i === 0) return Number.POSITIVE_INFINITY
    const readings = (counts[i] as number) + (counts[i - 1] as number)
    return Math.max(t - (times[i - 1] as number) - (readings / 2 - 1) * spacing, spacing / 10)
  })

export interface Profiled {
  /** −2·ln of the restricted likelihood, variance profiled out, constants dropped. */
  readonly deviance: number
  /** REML estimate of the variance that V is in units of. */
  readonly variance: number
}

/**
 * Restricted likelihood of a noise shape: (n − p)·ln(RSS/(n − p)) + ln|V| + ln|JᵀV⁻¹J|.
 * Patterson & Thompson, Biometrika 58, 545 (1971). Undefined when the Jacobian columns are not independent.
 */
export const profileOf = (whitened: Whitened, bins: RowBins): Profiled | undefined => {
  const width = bins.columns.length
  const p = width - 1
  const degrees = bins.times.length - p
  const lower = new Float64Array(width * width)
  // factored with the residual as the last column: its pivot is the RSS left after generalised least squares
  for (let a = 0; a < width; a++)
    for (let b = 0; b < width; b++)
      lower[a * width + b] = at(whitened.sums, ((a + 1) % width) * width + ((b + 1) % width))
  if (!choleskyInPlace(lower, width)) return undefined
  let logGram = 0
  for (let a = 0; a < p; a++) logGram += 2 * Math.log(at(lower, a * width + a))
  const variance = at(lower, p * width + p) ** 2 / degrees
  return { variance, deviance: degrees * Math.log(variance) + whitened.logDeterminant + logGram }
}
