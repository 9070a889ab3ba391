import { at, inverseOf } from '../../server/fit/linear-algebra.ts'
import { Whitener } from '../../server/fit/noise-likelihood.ts'
import type { NoiseRecipe } from '../server/fit/random.ts'

/** What is true of a batch: minutes, mg/L, 1/min; the probe's time constant in s. */
export interface Truth {
  readonly riseMin: number
  readonly plateau: number
  readonly riseRate: number
  readonly halfLifeMin: number
  readonly lagS: number
}

/** Reading of a lagging probe without noise at t minutes: the two-exponential response, then the same for a decay. */
export const readingAt = (truth: Truth, t: number): number =>
  t <= truth.riseMin ? riseAt(truth, t) : decayAt(truth, t - truth.riseMin)

const riseAt = ({ plateau, riseRate: k, lagS }: Truth, t: number): number => {
  if (lagS === 0) return plateau * (1 - Math.exp(-k * t))
  const q = 60 / lagS
  return plateau * (1 - (q * Math.exp(-k * t) - k * Math.exp(-q * t)) / (q - k))
}

const decayAt = (truth: Truth, t: number): number => {
  const k = Math.LN2 / truth.halfLifeMin
  const level = truth.plateau * (1 - Math.exp(-truth.riseRate * truth.riseMin))
  if (truth.lagS === 0) return level * Math.exp(-k * t)
  const q = 60 / truth.lagS
  const settled = (level * q) / (q - k)
  return settled * Math.exp(-k * t) + (riseAt(truth, truth.riseMin) - settled) * Math.exp(-q * t)
}

type Model = (parameters: readonly number[], t: number) => number

/**
 * Cramér-Rao covariance of a model's parameters for known noise on readings at `times` (minutes), with an independent
 * prior of standard deviation `priorSd` on some of them. Information = JᵀV⁻¹J + prior; J by central differences.
 */
export const cramerRao = (
  model: Model,
  parameters: readonly number[],
  times: Float64Array,
  noise: NoiseRecipe,
  priorSd: readonly (number | undefined)[],
): Float64Array => {
  const columns = parameters.map((p, i) => {
    const h = 1e-5 * Math.max(1e-3, Math.abs(p))
    const moved = (by: number) => parameters.map((q, j) => (j === i ? q + by : q))
    return times.map((t) => (model(moved(h), t) - model(moved(-h), t)) / (2 * h))
  })
  const isWhite = noise.correlationS === 0
  const { sums } = new Whitener({ times, counts: new Float64Array(times.length).fill(1), columns }).whiten({
    correlationTime: isWhite ? 1e-4 : noise.correlationS / 60,
    whiteShare: isWhite ? 1 : noise.white,
  })
  const size = parameters.length
  const information = sums.map((s) => s / noise.sd ** 2)
  priorSd.forEach((sd, i) => {
    if (sd !== undefined) information[i * size + i] = at(information, i * size + i) + 1 / sd ** 2
  })
  return inverseOf(information, size) ?? new Float64Array(size * size).fill(Number.NaN)
}

/** Standard deviation of g·θ under a covariance. */
export const sdAlong = (gradient: readonly number[], covariance: Float64Array): number => {
  const size = gradient.length
  let sum = 0
  gradient.forEach((a, i) => {
    gradient.forEach((b, j) => {
      sum += a * b * at(covariance, i * size + j)
    })
  })
  return Math.sqrt(sum)
}

/** Limits of plateau (mg/L), ln rate and ln t95 of a rise whose start is fitted too; τ known to `uLagS`. */
export const riseLimits = (
  truth: Truth,
  times: Float64Array,
  noise: NoiseRecipe,
  uLagS: number,
): { readonly plateau: number; readonly lnRate: number; readonly lnT95: number } => {
  const { plateau, riseRate, lagS } = truth
  const hasLag = lagS > 0
  const model: Model = ([css = 0, c0 = 0, lnk = 0, tau = 0], t) => {
    const k = Math.exp(lnk)
    if (!hasLag) return css - (css - c0) * Math.exp(-k * t)
    const q = 60 / tau
    return css - ((css - c0) * (q * Math.exp(-k * t) - k * Math.exp(-q * t))) / (q - k)
  }
  const parameters = [plateau, 0, Math.log(riseRate), ...(hasLag ? [lagS] : [])]
  const covariance = cramerRao(model, parameters, times, noise, [
    undefined,
    undefined,
    undefined,
    ...(hasLag ? [uLagS] : []),
  ])
  const folds = Math.log(20)
  const pad = hasLag ? [0] : []
  return {
    plateau: sdAlong([1, 0, 0, ...pad], covariance),
    lnRate: sdAlong([0, 0, 1, ...pad], covariance),
    // t95 = ln((Css − C0)/(0.05·Css))/k at C0 = 0: only C0 and k move it
    lnT95: sdAlong([0, -1 / plateau / folds, -1, ...pad], covariance),
  }
}

/** Limit of ln half-life from readings at `times` (minutes since flow-off); τ known to `uLagS`. */
export const halfLifeLimit = (
  truth: Truth,
  times: Float64Array,
  noise: NoiseRecipe,
  uLagS: number,
): number => {
  const level = decayAt({ ...truth, lagS: 0 }, 0)
  const hasLag = truth.lagS > 0
  const model: Model = ([a = 0, lnk = 0, b = 0, tau = 1], t) =>
    a * Math.exp(-Math.exp(lnk) * t) + (hasLag ? b * Math.exp((-60 * t) / tau) : 0)
  const parameters = [level, Math.log(Math.LN2 / truth.halfLifeMin), ...(hasLag ? [-0.5, truth.lagS] : [])]
  const covariance = cramerRao(model, parameters, times, noise, [
    undefined,
    undefined,
    ...(hasLag ? [undefined, uLagS] : []),
  ])
  return sdAlong([0, 1, ...(hasLag ? [0, 0] : [])], covariance)
}
