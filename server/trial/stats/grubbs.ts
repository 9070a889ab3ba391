import jStatPackage from 'jstat'
import { sampleOf } from './sample.ts'

const { jStat } = jStatPackage

export interface Grubbs {
  readonly g: number
  readonly critical: number
  /** Place of the value farthest from the mean. */
  readonly index: number
  readonly flagged: boolean
}

/**
 * Grubbs' test for one value that lies apart, two-sided: G = max|x − x̄|/s against (n−1)/√n·√(t²/(n−2+t²)), t at α/(2n).
 * NIST/SEMATECH e-Handbook 1.3.5.17.1. A flag asks a person to look; it removes nothing. Undefined below three values or without spread.
 */
export const grubbs = (values: readonly number[], alpha = 0.05): Grubbs | undefined => {
  const n = values.length
  if (n < 3) return undefined
  const { mean, sd } = sampleOf(values)
  if (sd === 0) return undefined
  const distances = values.map((v) => Math.abs(v - mean))
  const index = distances.indexOf(Math.max(...distances))
  const g = (distances[index] ?? 0) / sd
  const critical = grubbsCritical(n, alpha)
  return { g, critical, index, flagged: g > critical }
}

export const grubbsCritical = (n: number, alpha = 0.05): number => {
  const t2 = jStat.studentt.inv(1 - alpha / (2 * n), n - 2) ** 2
  return ((n - 1) / Math.sqrt(n)) * Math.sqrt(t2 / (n - 2 + t2))
}
