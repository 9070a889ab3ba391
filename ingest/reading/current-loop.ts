import type { SignalMark } from './channel-map.ts'

/** A 4-20 mA signal: the measured value at either end of the span. */
export interface CurrentSpan {
  readonly at4mA: number
  readonly at20mA: number
}

/**
 * Value of a current signal: x = x4 + (I − 4)/16 · (x20 − x4), I in mA. Linear also outside the span.
 * Source: IEC 60381-1, direct current signals 4 to 20 mA.
 */
export const scaleCurrent = (milliamps: number, { at4mA, at20mA }: CurrentSpan): number =>
  at4mA + ((milliamps - 4) / 16) * (at20mA - at4mA)

/**
 * What the current itself says, by the bands of NAMUR NE 43: 3.8 to 20.5 mA is measurement, at or under 3.6 and at or
 * over 21.0 the transmitter reports a failure (the failure limits were read in a public summary of NE 43, 3.8 and 20.5
 * are from memory). Between the bands nothing is defined. Over 20 mA the span has ended: the value is only known to
 * be at least its upper end.
 */
export const currentMark = (milliamps: number): SignalMark | undefined => {
  if (milliamps <= 3.6 || milliamps >= 21) return 'fault'
  if (milliamps < 3.8 || milliamps > 20.5) return 'out-of-range'
  return milliamps >= 20 ? 'clipped' : undefined
}
