import jStatPackage from 'jstat'
import { logsOf } from './sample.ts'
import { type Welch, welch, welchInterval } from './welch.ts'

const { jStat } = jStatPackage

export interface Equivalence {
  /** The larger of the two one-sided p values. */
  readonly p: number
  /** Interval of 1 − 2α that has to lie inside the margin. */
  readonly interval: readonly [number, number]
  readonly equivalent: boolean
}

/**
 * Two one-sided tests: equivalent when the difference is shown to lie inside ± margin.
 * Schuirmann, J. Pharmacokinet. Biopharm. 15, 657 (1987). No difference found is not equivalence.
 */
export const equivalence = (found: Welch, margin: number, alpha = 0.05): Equivalence => {
  if (!(margin > 0)) throw new RangeError(`an equivalence margin needs to be positive, got ${margin}`)
  const { difference, se, degreesOfFreedom } = found
  const above = 1 - jStat.studentt.cdf((difference + margin) / se, degreesOfFreedom)
  const below = jStat.studentt.cdf((difference - margin) / se, degreesOfFreedom)
  const p = Math.max(above, below)
  return { p, interval: welchInterval(found, 1 - 2 * alpha), equivalent: p < alpha }
}

/** The same for a ratio: inside 1/(1 + m) to 1 + m, `marginPercent` = 100·m. The interval is of the ratio. */
export const ratioEquivalence = (
  first: readonly number[],
  second: readonly number[],
  marginPercent: number,
  alpha = 0.05,
): Equivalence => {
  const found = welch(logsOf(first), logsOf(second))
  const { p, interval, equivalent } = equivalence(found, Math.log1p(marginPercent / 100), alpha)
  return { p, interval: [Math.exp(interval[0]), Math.exp(interval[1])], equivalent }
}
