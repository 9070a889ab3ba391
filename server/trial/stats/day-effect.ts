import { oneWay } from './one-way.ts'

export interface DayEffect {
  readonly days: number
  readonly f: number
  readonly p: number
  /** Part of the variance that belongs to the day, 0 to 1: intraclass correlation from the mean squares. */
  readonly part: number
}

/**
 * Do batches of one day resemble each other? A tolerance bound takes batches for independent. Undefined with fewer than two
 * days, or no day with two batches, or no spread within days.
 */
export const dayEffect = (groups: readonly (readonly number[])[]): DayEffect | undefined => {
  const found = oneWay(groups)
  if (found === undefined) return undefined
  const { n, msBetween, msWithin, f, p } = found
  const squares = groups.reduce((s, g) => s + g.length ** 2, 0)
  const size = (n - squares / n) / (found.groups - 1)
  const part = Math.max(0, (msBetween - msWithin) / (msBetween + (size - 1) * msWithin))
  return { days: found.groups, f, p, part }
}
