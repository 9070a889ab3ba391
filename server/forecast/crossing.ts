import { type DecayState, HORIZON_MIN } from './decay-state.ts'
import { normalCdf } from './normal.ts'
import { ratePosterior } from './rate-posterior.ts'

/**
 * Quantiles of the time at which ln C(t) crosses ln target. Given the rate, ln C now is normal, so the share that has
 * crossed after t is Φ; the posterior of the rate weighs it. For normal errors this is Fieller's bound of a ratio
 * (J. R. Stat. Soc. B 16, 175 (1954)), which a symmetric error of the time itself is not.
 */
export const ownMinutes = (state: DecayState, target: number) => {
  const crossed = crossedByAny(state, target)
  return {
    expected: quantile(crossed, 0.5),
    early: quantile(crossed, 0.05),
    low: quantile(crossed, 0.025),
    high: quantile(crossed, 0.975),
  }
}

const crossedByAny = (state: DecayState, target: number) => {
  const { orders = [], ...plain } = state
  if (orders.length === 0) return crossedBy(state, Math.log(state.potency / target))
  const total = orders.reduce((sum, o) => sum + o.weight, 0)
  const each = orders.map(({ order, weight, rateFactor, potencyFactor }) => ({
    weight: weight / total,
    crossed: crossedBy(
      { ...plain, order, ...scaledRate(state, rateFactor) },
      Math.log((state.potency * potencyFactor) / target),
    ),
  }))
  return (minutes: number) => each.reduce((sum, o) => sum + o.weight * o.crossed(minutes), 0)
}

const scaledRate = ({ seen, prior }: DecayState, factor: number): Pick<DecayState, 'seen' | 'prior'> => ({
  ...(seen === undefined
    ? {}
    : {
        seen: {
          ...seen,
          rate: seen.rate * factor,
          rateSe: seen.rateSe * factor,
          covariance: seen.covariance * factor,
        },
      }),
  ...(prior === undefined ? {} : { prior: { ...prior, logRate: prior.logRate + Math.log(factor) } }),
})

/** Part of what may be that has fallen below the target after so many minutes at the present rate. */
const crossedBy = ({ order, potencyVariance, seen, prior }: DecayState, above: number) => {
  const slope = seen === undefined ? 0 : seen.covariance / Math.max(seen.rateSe, 1e-9)
  const left = Math.max(potencyVariance - slope ** 2, 1e-12)
  const df = seen?.degreesOfFreedom ?? Number.POSITIVE_INFINITY
  const perRate = seen === undefined ? 0 : slope / Math.max(seen.rateSe, 1e-9)
  const nodes = ratePosterior(seen, prior).map(({ rate, weight, width, z }) => ({
    ...{ rate, weight, width },
    above: above + slope * z,
    // the scatter of a bivariate t widens with the distance of the other part
    variance: left * (df < 1e4 ? (df + z * z) / (df + 1) : 1),
  }))
  return (minutes: number): number => {
    let sum = 0
    for (const n of nodes) {
      const slowed = 1 + (order - 1) * n.rate * minutes
      const gone = order === 1 ? n.rate * minutes : Math.log(slowed) / (order - 1)
      // a node stands for all rates about it: spread evenly over its width
      const within = n.width * (minutes / slowed - perRate)
      sum += n.weight * normalCdf((gone - n.above) / Math.sqrt(n.variance + (within * within) / 12))
    }
    return sum
  }
}

/** To 2 parts in 100,000. */
const HALVINGS = 20

/** By halving on the logarithm of the time, from a second to far beyond any use. */
const quantile = (crossed: (minutes: number) => number, part: number): number => {
  if (crossed(0) >= part) return 0
  let low = Math.log(1 / 600)
  let high = Math.log(100 * HORIZON_MIN)
  if (crossed(Math.exp(high)) < part) return Math.exp(high)
  for (let i = 0; i < HALVINGS; i++) {
    const middle = (low + high) / 2
    if (crossed(Math.exp(middle)) < part) low = middle
    else high = middle
  }
  return Math.exp((low + high) / 2)
}
