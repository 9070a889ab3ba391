import { at } from './linear-algebra.ts'
import { type NoiseShape, type Profiled, profileOf, type Whitener } from './noise-likelihood.ts'

export interface NoiseFit extends Profiled, NoiseShape {}

const TIMES = 4
const SHARES = [0.15, 0.85]

/**
 * REML estimate of the noise shape: a coarse grid, then a Nelder-Mead search (Comput. J. 7, 308 (1965)) in
 * (ln τ, logit of the white share). About 28 passes over the bins.
 */
export const fitNoise = (whitener: Whitener): NoiseFit | undefined => {
  const { bins } = whitener
  const n = bins.times.length
  const span = at(bins.times, n - 1) - at(bins.times, 0)
  const spacing = span / (n - 1)
  const limits = { low: Math.log(spacing / 3), high: Math.log(span / 2) }
  const evaluate = (point: Point): Scored => {
    const noise = shapeAt(point, limits)
    const profile = profileOf(whitener.whiten(noise), bins)
    const score = profile === undefined ? Number.POSITIVE_INFINITY : profile.deviance + surprise(noise)
    return { point, noise, profile, score }
  }
  const best = nelderMead(evaluate, startOf(evaluate, limits), 18)
  return best.profile === undefined ? undefined : { ...best.profile, ...best.noise }
}

/** What probes in bubbling fluid are like before any record: 30 s, within a factor of three. Engineering judgement. */
const USUAL_TIME_MIN = 0.5
const USUAL_LOG_SD = 1.2

/**
 * Weak prior, −2·ln: a flexible curve on a short record swallows the slow noise and leaves residuals that look white;
 * the prior keeps such a record from claiming so. A long record outweighs it.
 */
const surprise = ({ correlationTime }: NoiseShape): number =>
  (Math.log(correlationTime / USUAL_TIME_MIN) / USUAL_LOG_SD) ** 2

type Point = readonly [logTau: number, logitShare: number]
interface Limits {
  readonly low: number
  readonly high: number
}
interface Scored {
  readonly point: Point
  readonly noise: NoiseShape
  readonly profile: Profiled | undefined
  readonly score: number
}

const shapeAt = ([logTau, logitShare]: Point, limits: Limits): NoiseShape => ({
  correlationTime: Math.exp(Math.max(limits.low, Math.min(limits.high, logTau))),
  whiteShare: 1 / (1 + Math.exp(-Math.max(-6, Math.min(6, logitShare)))),
})

const startOf = (evaluate: (point: Point) => Scored, limits: Limits): Scored => {
  let best: Scored | undefined
  for (let step = 0; step < TIMES; step++) {
    const logTau = limits.low + ((step + 0.5) / TIMES) * (limits.high - limits.low)
    for (const share of SHARES) {
      const scored = evaluate([logTau, Math.log(share / (1 - share))])
      if (best === undefined || scored.score < best.score) best = scored
    }
  }
  return best as Scored
}

const nelderMead = (evaluate: (point: Point) => Scored, start: Scored, evaluations: number): Scored => {
  const simplex = [
    start,
    evaluate([start.point[0] + 0.7, start.point[1]]),
    evaluate([start.point[0], start.point[1] + 1.2]),
  ]
  for (let used = 2; used < evaluations; used++) {
    simplex.sort((a, b) => a.score - b.score)
    const [best, good, worst] = simplex as [Scored, Scored, Scored]
    const along = (factor: number): Scored =>
      evaluate([
        mid(best, good, 0) + factor * (mid(best, good, 0) - worst.point[0]),
        mid(best, good, 1) + factor * (mid(best, good, 1) - worst.point[1]),
      ])
    const reflected = along(1)
    if (reflected.score < best.score) {
      const expanded = along(2)
      used++
      simplex[2] = expanded.score < reflected.score ? expanded : reflected
    } else if (reflected.score < good.score) simplex[2] = reflected
    else simplex[2] = shrunk(reflected.score < worst.score ? along(0.5) : along(-0.5), worst, best, evaluate)
  }
  return simplex.reduce((a, b) => (b.score < a.score ? b : a))
}

const shrunk = (
  contracted: Scored,
  worst: Scored,
  best: Scored,
  evaluate: (point: Point) => Scored,
): Scored =>
  contracted.score < worst.score
    ? contracted
    : evaluate([(worst.point[0] + best.point[0]) / 2, (worst.point[1] + best.point[1]) / 2])

const mid = (a: Scored, b: Scored, axis: 0 | 1): number => (a.point[axis] + b.point[axis]) / 2
