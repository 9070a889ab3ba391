/** One further quantity measured beside the fluid, on the axis of the batch; NaN where there is no number. */
export interface Track {
  /** Seconds since the start, strictly increasing. */
  readonly timesS: Float64Array
  readonly values: Float64Array
}

const LOOKS = 3

/**
 * What a quantity that is switched on and off amounts to while it is on, in its own unit: the mean of the values within
 * half of it either way, looked for three times from the mean of what is above `least`. Undefined when nothing is.
 */
export const settledLevel = (values: Float64Array, least: number): number | undefined => {
  let level = meanBetween(values, least, Number.POSITIVE_INFINITY)
  for (let look = 0; look < LOOKS && level !== undefined; look++)
    level = meanBetween(values, Math.max(least, 0.5 * level), 1.5 * level)
  return level
}

/** Undefined when no value lies in the range; what is no number lies in none. */
export const meanBetween = (values: Float64Array, low: number, high: number): number | undefined => {
  let sum = 0
  let count = 0
  for (const value of values) {
    if (!(value >= low && value <= high)) continue
    sum += value
    count += 1
  }
  return count === 0 ? undefined : sum / count
}
