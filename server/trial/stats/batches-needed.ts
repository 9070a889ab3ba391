import jStatPackage from 'jstat'
import { noncentralTCdf } from './noncentral-t.ts'

const { jStat } = jStatPackage

/** Log scale: what is to be found, and how far batches of one group spread. */
export interface PowerQuestion {
  /** Ratio of two groups that must not go unseen, over 1. */
  readonly ratio: number
  /** Standard deviation of the logarithms from batch to batch, roughly the relative spread. */
  readonly sdLog: number
  /** Two-sided. */
  readonly alpha: number
}

/** Chance to find the ratio with n batches in each of two groups: two-sided t test, δ = ln(ratio)/(s·√(2/n)), ν = 2n − 2. */
export const powerOf = (n: number, { ratio, sdLog, alpha }: PowerQuestion): number => {
  const delta = Math.abs(Math.log(ratio)) / (sdLog * Math.sqrt(2 / n))
  const df = 2 * n - 2
  const t = jStat.studentt.inv(1 - alpha / 2, df)
  return 1 - noncentralTCdf(t, df, delta) + noncentralTCdf(-t, df, delta)
}

const MOST_BATCHES = 200

/** Fewest batches in each group that give this power; undefined past 200. */
export const batchesNeeded = (question: PowerQuestion, power: number): number | undefined => {
  for (let n = 2; n <= MOST_BATCHES; n++) if (powerOf(n, question) >= power) return n
  return undefined
}
