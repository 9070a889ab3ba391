import jStatPackage from 'jstat'

const { jStat } = jStatPackage

export interface DayEffect {
  readonly days: number
  readonly f: number
  readonly p: number
  /** Part of the variance that belongs to the day, 0 to 1: intraclass correlation from the mean squares. */
  readonly part: number
}

/**
 * Do batches of one day resemble each other? One-way analysis of variance, F = MS_between/MS_within. A tolerance bound
 * takes batches for independent. Undefined with fewer than two days, or no day with two batches, or no spread within days.
 */
export const dayEffect = (groups: readonly (readonly number[])[]): DayEffect | undefined => {
  const days = groups.filter((g) => g.length > 0)
  const n = days.reduce((s, g) => s + g.length, 0)
  if (days.length < 2 || n <= days.length) return undefined
  const grand = days.flat().reduce((a, b) => a + b, 0) / n
  const means = days.map((g) => g.reduce((a, b) => a + b, 0) / g.length)
  const between = days.reduce((s, g, i) => s + g.length * ((means[i] ?? 0) - grand) ** 2, 0)
  const within = days.reduce((s, g, i) => s + g.reduce((q, v) => q + (v - (means[i] ?? 0)) ** 2, 0), 0)
  const msBetween = between / (days.length - 1)
  const msWithin = within / (n - days.length)
  if (!(msWithin > 0)) return undefined
  const size = (n - days.reduce((s, g) => s + g.length ** 2, 0) / n) / (days.length - 1)
  const part = Math.max(0, (msBetween - msWithin) / (msBetween + (size - 1) * msWithin))
  const f = msBetween / msWithin
  return { days: days.length, f, p: 1 - jStat.centralF.cdf(f, days.length - 1, n - days.length), part }
}
