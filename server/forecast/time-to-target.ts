import { ACTIVATION_ENERGY } from '../model/arrhenius.ts'
import type { DecayOrder } from '../model/decay-order.ts'
import { normalCdf } from './normal.ts'
import { type DecaySeen, ratePosterior } from './rate-posterior.ts'
import type { RatePrior } from './rate-prior.ts'
import { rateFactor, type TemperatureAhead, type WarmingAhead } from './warming-ahead.ts'

/** An order the decay may have: potency and starting rate now, as parts of what the state says. */
export interface OrderOdds {
  readonly order: DecayOrder
  readonly weight: number
  readonly rateFactor: number
  readonly potencyFactor: number
}

/** Where a decay stands now: potency by the readings, the rate by readings or prior or both. */
export interface DecayState {
  readonly order: DecayOrder
  /** mg/L, the fluid's own value: probe lag taken out. */
  readonly potency: number
  /** Of ln C. */
  readonly potencyVariance: number
  /** The starting rate from this value at the temperature now, as the readings tell it; absent before they do. */
  readonly seen?: DecaySeen & {
    /** Of ln C with the rate, 1/min. */
    readonly covariance: number
  }
  readonly prior?: RatePrior
  /** Orders still possible, weights summing to about 1; absent: `order` alone. */
  readonly orders?: readonly OrderOdds[]
  /** Mean temperature of the readings behind the rate; from here the activation energy carries it to now. */
  readonly learntAtC?: number
}

/** Minutes from now until potency reaches the target. */
export interface TimeToTarget {
  readonly expected: number
  /** One-sided 95 %: later only with 95 % confidence. */
  readonly early: number
  readonly ci95: readonly [number, number]
}

const STEP_MIN = 0.25
/** Past this a forecast means nothing; the answer is "not within a day". */
export const HORIZON_MIN = 24 * 60

/**
 * Integrates k(T) over the expected temperature. Minutes at the present rate carry the uncertainty of readings and prior;
 * each activation energy (45, 65, 80 kJ/mol) and warming turns them into clock minutes, and the widest ends are kept.
 * 0 when the target is reached already.
 */
export const timeToTarget = (state: DecayState, target: number, warming: WarmingAhead): TimeToTarget => {
  const own = ownMinutes(state, target)
  const expected = clockMinutes(own.expected, warming.expected, ACTIVATION_ENERGY.central, state)
  const energies = [ACTIVATION_ENERGY.low, ACTIVATION_ENERGY.central, ACTIVATION_ENERGY.high]
  const courses = [warming.expected, warming.fastest]
  const over = (minutes: number) =>
    courses.flatMap((course) => energies.map((energy) => clockMinutes(minutes, course, energy, state)))
  return {
    expected,
    early: Math.min(expected, ...over(own.early)),
    ci95: [Math.min(expected, ...over(own.low)), Math.max(expected, ...over(own.high))],
  }
}

/**
 * Quantiles of the time at which ln C(t) crosses ln target. Given the rate, ln C now is normal, so the share that has
 * crossed after t is Φ; the posterior of the rate weighs it. For normal errors this is Fieller's bound of a ratio
 * (J. R. Stat. Soc. B 16, 175 (1954)), which a symmetric error of the time itself is not.
 */
const ownMinutes = (state: DecayState, target: number) => {
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

/** Minutes at the present rate into minutes by the clock, while the temperature changes. */
const clockMinutes = (own: number, ahead: TemperatureAhead, energyKj: number, state: DecayState): number => {
  const carried = carriedFactor(ahead, energyKj, state)
  if (ahead.perMinute === 0 || Math.abs(ahead.roomC - ahead.nowC) < 0.05)
    return Math.min(HORIZON_MIN, own / carried)
  let gone = 0
  let before = carried
  for (let t = 0; t < HORIZON_MIN; t += STEP_MIN) {
    const after = carried * rateFactor(ahead, t + STEP_MIN, energyKj)
    const step = (STEP_MIN * (before + after)) / 2
    if (gone + step >= own) return t + (STEP_MIN * (own - gone)) / step
    gone += step
    before = after
  }
  return HORIZON_MIN
}

/** The rate was learnt at the mean temperature of the readings; another activation energy carries it to now otherwise. */
const carriedFactor = (ahead: TemperatureAhead, energyKj: number, state: DecayState): number => {
  if (state.learntAtC === undefined) return 1
  const difference = { nowC: state.learntAtC, roomC: ahead.nowC, perMinute: Number.POSITIVE_INFINITY }
  return rateFactor(difference, 1, energyKj) / rateFactor(difference, 1, ACTIVATION_ENERGY.central)
}
