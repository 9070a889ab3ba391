/** Limits of one channel, in its canonical unit. */
export interface ChannelLimits {
  /** Least and greatest number that can be real. */
  readonly range: readonly [number, number]
  /** Where the meter tops out; at or above it the true value is only known to be at least this. */
  readonly fullScale?: number | undefined
  /** Greatest believable change per second. */
  readonly maxChangePerS?: number | undefined
}
