import type { ChannelLimits } from './channel-limits.ts'
import type { Channel } from './reading.ts'

/** What a number of an instrument means: its channel, the way to the canonical unit, what can be believed. */
export interface ChannelMap {
  readonly channel: Channel
  readonly unit: string
  readonly convert: (sent: number) => number
  readonly limits: ChannelLimits
  /** What the kind of signal says of the number itself, before any limit; undefined: nothing. */
  readonly signal?: ((sent: number) => SignalMark | undefined) | undefined
}

export type SignalMark = 'fault' | 'clipped' | 'out-of-range'

/**
 * One number as an instrument sent it: plain, as a bound (`>20`, `<0.05`), or the instrument's own way to say that
 * there is none.
 */
export type Sent =
  | { readonly kind: 'number' | 'at-least' | 'less-than'; readonly raw: number }
  | { readonly kind: 'none' }

export interface FieldValue<Map extends ChannelMap = ChannelMap> {
  readonly channel: Map
  readonly sent: Sent
}
