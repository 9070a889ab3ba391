import type { Quality } from './reading.ts'

/** Limits of one channel, in its canonical unit. */
export interface ChannelLimits {
  /** Least and greatest number that can be real. */
  readonly range: readonly [number, number]
  /** Where the meter tops out; at or above it the true value is only known to be at least this. */
  readonly fullScale?: number | undefined
  /** Greatest believable change per second. */
  readonly maxChangePerS?: number | undefined
}

export interface Previous {
  readonly value: number
  readonly monoMs: number
}

/** A meter at its top often wavers by a last digit; 0.1 % of full scale below it still counts as topped out. */
const FULL_SCALE_SHARE = 0.999

/**
 * Quality of one number as it arrives. Marks, never drops: what to do with a marked reading is decided
 * where it is used. `previous` is the last believable value of the same channel in the same boot.
 */
export const judge = (value: number, monoMs: number, limits: ChannelLimits, previous?: Previous): Quality => {
  if (limits.fullScale !== undefined && value >= limits.fullScale * FULL_SCALE_SHARE) return 'clipped'
  const [least, greatest] = limits.range
  if (value < least || value > greatest) return 'out-of-range'
  if (previous && limits.maxChangePerS !== undefined) {
    const seconds = Math.max((monoMs - previous.monoMs) / 1000, 1e-3)
    if (Math.abs(value - previous.value) > limits.maxChangePerS * Math.max(seconds, 1))
      return 'implausible-rate'
  }
  return 'good'
}
