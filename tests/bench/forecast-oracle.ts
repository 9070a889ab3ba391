import { at, inverseOf } from '../../server/fit/linear-algebra.ts'
import { Whitener } from '../../server/fit/noise-likelihood.ts'
import type { NoiseRecipe } from '../server/fit/random.ts'

const ONE_SIDED = 1.644854

/**
 * Minutes between the truth and the one-sided 95 % bound of an estimator that is told the noise and the model
 * C = A·e^(−k t): 1.645 times the Cramér-Rao bound of t* = ln(A/target)/k from one reading a second since flow-off.
 */
export const oracleMargin = (
  noise: NoiseRecipe,
  halfLifeMin: number,
  lookMin: number,
  target: number,
): number => {
  const n = Math.round(60 * lookMin)
  const k = Math.LN2 / halfLifeMin
  const times = Float64Array.from({ length: n }, (_, i) => i / 60)
  const byLogStart = times.map((t) => 20 * Math.exp(-k * t))
  const byLogRate = times.map((t, i) => -k * t * at(byLogStart, i))
  const whitener = new Whitener({
    times,
    counts: new Float64Array(n).fill(1),
    columns: [byLogStart, byLogRate],
  })
  const isWhite = noise.correlationS === 0
  const { sums } = whitener.whiten({
    correlationTime: isWhite ? 1e-3 : noise.correlationS / 60,
    whiteShare: isWhite ? 1 : noise.white,
  })
  const covariance = inverseOf(sums, 2)
  if (covariance === undefined) return Number.NaN
  const crossing = Math.log(1 / target) / k
  const [a, b] = [1 / k, -crossing]
  const variance = a * a * at(covariance, 0) + 2 * a * b * at(covariance, 1) + b * b * at(covariance, 3)
  return ONE_SIDED * noise.sd * Math.sqrt(variance)
}
