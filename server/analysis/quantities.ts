import type { Interval } from '../fit/interval.ts'
import type { Bound, Estimate, Reason } from './quantity-schema.ts'

export const estimate = (interval: Interval): Estimate => ({
  value: interval.value,
  se: interval.se,
  ci95: [interval.ci95[0], interval.ci95[1]],
})

export const atLeast = (value: number, why: Reason): Bound => ({ at_least: value, why })
export const atMost = (value: number, why: Reason): Bound => ({ at_most: value, why })

/** Half-width of an interval relative to its value. Above one half an interval is of no use. */
export const relativeHalfWidth = (interval: Interval): number =>
  (interval.ci95[1] - interval.ci95[0]) / (2 * Math.abs(interval.value))

export const USELESS = 0.5
