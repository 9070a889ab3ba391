import type { Channel, Quality } from './reading.ts'

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

/** Widest numbers that a channel can really have, when no range of its own is given. Engineering judgement. */
export const PLAUSIBLE_RANGE: Readonly<Record<Channel, readonly [number, number]>> = {
  'dissolved-ozone': [-2, 300],
  'fluid-temperature': [-5, 60],
  'gas-ozone': [-2, 300],
  'gas-flow': [-10, 20_000],
  'room-ozone': [-0.05, 20],
  ph: [0, 14],
  conductivity: [0, 200_000],
  'redox-potential': [-2000, 2000],
  'barometric-pressure': [50, 110],
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
