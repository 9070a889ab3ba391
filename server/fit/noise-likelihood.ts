import { at, choleskyInPlace } from './linear-algebra.ts'
import type { RowBins } from './row-bins.ts'
import { dot } from './separable-fit.ts'

/**
 * Noise of one channel: a slow part with correlation e^(−|h|/τ) and a white part (rounding, electronics).
 * `whiteShare` is the white part of the variance of an average bin, 0 to 1.
 */
export interface NoiseShape {
  readonly correlationTime: number
  readonly whiteShare: number
}

/** What one pass over the bins yields, for V = shape matrix with unit variance of an average bin. */
export interface Whitened {
  /** width × width sums AᵀV⁻¹A of the columns A = [residual, Jacobian…], row-major, symmetric. */
  readonly sums: Float64Array
  readonly logDeterminant: number
}

/**
 * AᵀV⁻¹A and ln|V| in O(bins), by the innovations of a scalar Kalman filter; a gap costs nothing, as the state simply
 * forgets by e^(−Δ/τ). Kalman, J. Basic Eng. 82, 35 (1960); AR(1) + white noise is an ARMA(1,1).
 */
export class Whitener {
  readonly bins: RowBins
  readonly meanCount: number
  private readonly kept: Float64Array
  private readonly gain: Float64Array
  private readonly inverseRoot: Float64Array
  private readonly innovations: Float64Array[]

  constructor(bins: RowBins) {
    const n = bins.times.length
    this.bins = bins
    this.meanCount = bins.counts.reduce((sum, c) => sum + c, 0) / n
    this.kept = new Float64Array(n)
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
    const { times, counts } = this.bins
    const slow = 1 - noise.whiteShare
    const white = noise.whiteShare * this.meanCount
    let variance = slow
    let logDeterminant = 0
    let product = 1
    let spacing = Number.NaN
    let kept = 0
    for (let i = 0; i < times.length; i++) {
      if (i > 0) {
        const step = (times[i] as number) - (times[i - 1] as number)
        if (step !== spacing) kept = Math.exp(-step / noise.correlationTime)
        spacing = step
        variance = slow + kept * kept * (variance - slow)
      }
      const total = variance + white / (counts[i] as number)
      const gain = variance / total
      this.kept[i] = kept
      this.gain[i] = gain
      this.inverseRoot[i] = 1 / Math.sqrt(total)
      product *= total
      if ((i & 7) === 7) {
        logDeterminant += Math.log(product)
        product = 1
      }
      variance *= 1 - gain
    }
    return logDeterminant + Math.log(product)
  }

  private innovate(c: number): void {
    const { kept, gain, inverseRoot } = this
    const column = this.bins.columns[c] as Float64Array
    const out = this.innovations[c] as Float64Array
    let state = 0
    for (let i = 0; i < column.length; i++) {
      state *= kept[i] as number
      const difference = (column[i] as number) - state
      state += (gain[i] as number) * difference
      out[i] = difference * (inverseRoot[i] as number)
    }
  }
}

export interface Profiled {
  /** −2·ln of the restricted likelihood, variance profiled out, constants dropped. */
  readonly deviance: number
  /** REML estimate of the variance of an average bin. */
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
