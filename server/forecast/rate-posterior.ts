import { at } from '../fit/linear-algebra.ts'
import type { RatePrior } from './rate-prior.ts'

/** What the readings say of a decay now: ln C and the rate, jointly; few degrees of freedom make Student's t of them. */
export interface DecaySeen {
  /** 1/min; noise may make it nothing or less. */
  readonly rate: number
  readonly rateSe: number
  readonly degreesOfFreedom: number
}

/** A rate that may be, how probable it is, and how far from the expected rate it lies in standard errors. */
export interface RateNode {
  readonly rate: number
  /** Of the rates it stands for, 1/min. */
  readonly width: number
  readonly weight: number
  readonly z: number
}

/** Nodes for each of readings and prior, dense about its middle: whichever is the narrower, the grid resolves it. */
const NODES = 49
/** Standard errors to each side; more where few degrees of freedom make long tails. */
const REACH = 7
const NEGLIGIBLE = 1e-6
/** No decay in two months is none at all, 1/min. */
const SLOWEST = 1e-5

/**
 * Posterior of the decay rate on a grid even in its logarithm, weights summing to 1: a prior that is normal in ln k and
 * readings whose errors are Student's t in k itself, as those of a slope are. Without a prior, flat over k > 0. Data take
 * over from the prior as fast as they are surer, with no switch.
 */
export const ratePosterior = (seen: DecaySeen | undefined, prior: RatePrior | undefined): RateNode[] => {
  const logs = grid(seen, prior)
  const scores = logs.map((logRate) => logLikelihood(seen, logRate) + logPrior(prior, logRate))
  const best = scores.reduce((a, b) => Math.max(a, b), Number.NEGATIVE_INFINITY)
  const masses = scores.map((score, i) => Math.exp(score - best) * widthAt(logs, i))
  const total = masses.reduce((sum, m) => sum + m, 0)
  const nodes: RateNode[] = []
  logs.forEach((logRate, i) => {
    const weight = at(masses, i) / total
    if (weight < NEGLIGIBLE) return
    const rate = Math.exp(logRate)
    const width = (rate * widthAt(logs, i)) / 2
    nodes.push({ rate, width, weight, z: seen === undefined ? 0 : zOf(seen, rate) })
  })
  return nodes
}

const widthAt = (logs: Float64Array, i: number): number =>
  at(logs, Math.min(logs.length - 1, i + 1)) - at(logs, Math.max(0, i - 1))

/** The rate below which 2.5 % of what may be lies, 1/min. */
export const slowestRate = (seen: DecaySeen | undefined, prior: RatePrior | undefined): number => {
  let below = 0
  for (const { rate, weight } of ratePosterior(seen, prior)) {
    below += weight
    if (below >= 0.025) return rate
  }
  return SLOWEST
}

const grid = (seen: DecaySeen | undefined, prior: RatePrior | undefined): Float64Array => {
  const logs: number[] = []
  const steps = Array.from({ length: NODES }, (_, i) => (2 * i) / (NODES - 1) - 1)
  if (seen !== undefined) {
    const farthest = Math.asinh(REACH * (1 + 3 / seen.degreesOfFreedom))
    for (const step of steps)
      logs.push(Math.log(Math.max(SLOWEST, seen.rate + sdOf(seen) * Math.sinh(farthest * step))))
  }
  if (prior !== undefined) {
    const farthest = Math.asinh(REACH)
    for (const step of steps) logs.push(prior.logRate + prior.sd * Math.sinh(farthest * step))
  }
  return Float64Array.from(logs).sort()
}

/** An error of nothing would leave the grid a point. */
const sdOf = ({ rate, rateSe }: DecaySeen): number => Math.max(rateSe, 1e-6 * Math.abs(rate), 1e-9)

const zOf = (seen: DecaySeen, k: number): number => (k - seen.rate) / sdOf(seen)

const logLikelihood = (seen: DecaySeen | undefined, logRate: number): number => {
  if (seen === undefined) return 0
  const { degreesOfFreedom: df } = seen
  const z2 = zOf(seen, Math.exp(logRate)) ** 2
  return Number.isFinite(df) && df < 1e4 ? (-(df + 1) / 2) * Math.log1p(z2 / df) : -z2 / 2
}

/** In ln k; flat in k is e^(ln k). */
const logPrior = (prior: RatePrior | undefined, logRate: number): number =>
  prior === undefined ? logRate : -(((logRate - prior.logRate) / prior.sd) ** 2) / 2
