import jStatPackage from 'jstat'
import { logsOf, sampleOf } from './sample.ts'

const { jStat } = jStatPackage

export interface Welch {
  /** Mean of the first less mean of the second. */
  readonly difference: number
  readonly se: number
  readonly t: number
  readonly degreesOfFreedom: number
  /** Two-sided. */
  readonly p: number
}

/** Two means with unequal variances: t = Δ/√(s1²/n1 + s2²/n2), ν after Welch and Satterthwaite. Two values in each; not both without spread. */
export const welch = (first: readonly number[], second: readonly number[]): Welch => {
  const a = sampleOf(first)
  const b = sampleOf(second)
  const va = a.sd ** 2 / a.n
  const vb = b.sd ** 2 / b.n
  if (!(va + vb > 0)) throw new RangeError('a Welch test needs spread in at least one group')
  const difference = a.mean - b.mean
  const se = Math.sqrt(va + vb)
  const degreesOfFreedom = (va + vb) ** 2 / (va ** 2 / (a.n - 1) + vb ** 2 / (b.n - 1))
  const t = difference / se
  const p = 2 * (1 - jStat.studentt.cdf(Math.abs(t), degreesOfFreedom))
  return { difference, se, t, degreesOfFreedom, p }
}

/** Two-sided interval of the difference. */
export const welchInterval = (
  { difference, se, degreesOfFreedom }: Welch,
  confidence: number,
): readonly [number, number] => {
  const t = jStat.studentt.inv((1 + confidence) / 2, degreesOfFreedom)
  return [difference - t * se, difference + t * se]
}

/** The same with a further uncertainty of the difference, independent of the scatter; degrees of freedom as they were. */
export const widened = (found: Welch, u: number): Welch => {
  const se = Math.hypot(found.se, u)
  const t = found.difference / se
  return { ...found, se, t, p: 2 * (1 - jStat.studentt.cdf(Math.abs(t), found.degreesOfFreedom)) }
}

export interface Ratio {
  /** Geometric mean of the first over that of the second. */
  readonly ratio: number
  readonly ci: readonly [number, number]
  readonly welch: Welch
}

/** How many times as much: Welch on the logarithms, as a ratio with its interval. */
export const ratioOf = (first: readonly number[], second: readonly number[], confidence = 0.95): Ratio => {
  const found = welch(logsOf(first), logsOf(second))
  const [low, high] = welchInterval(found, confidence)
  return { ratio: Math.exp(found.difference), ci: [Math.exp(low), Math.exp(high)], welch: found }
}
