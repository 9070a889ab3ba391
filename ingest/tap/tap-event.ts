import type { DiscardReason } from '../frame/frame.ts'
import type { RegisterTable } from '../frame/modbus-request.ts'
import type { Channel, Quality } from '../reading/reading.ts'
import type { PortStatus } from '../store/store.ts'

/** What a listener is told, one JSON object a line. Times: `at_ms` UTC since 1970, `mono_ms` uptime. */
export type TapEvent =
  | { readonly kind: 'listening'; readonly port: string | null; readonly at_most_s: number }
  | { readonly kind: 'state'; readonly state: PortStatus['state']; readonly why: string | null }
  | { readonly kind: 'bytes'; readonly at_ms: number; readonly way: Way; readonly hex: string }
  | LineHeard
  | RegistersHeard
  | {
      readonly kind: 'discarded'
      readonly at_ms: number
      readonly why: DiscardReason
      readonly bytes: number
      readonly sample: string
    }
  /** What the numbers make doubtful in the wiring; null: nothing any more. */
  | { readonly kind: 'doubt'; readonly why: string | null }
  /** More came than the listener could take: the oldest were given up. */
  | { readonly kind: 'lost'; readonly frames: number; readonly bytes: number }
  | { readonly kind: 'ended'; readonly why: string }
  | { readonly kind: 'refused'; readonly why: string }

export type Way = 'from-meter' | 'to-meter'

interface Heard {
  readonly at_ms: number
  readonly mono_ms: number
  /** As the wiring in force reads it, for display; empty where nothing is wired. */
  readonly values: readonly TapValue[]
  /** Why the wiring in force could not use it; null where it could, or where nothing is wired. */
  readonly why: DiscardReason | null
}

export interface LineHeard extends Heard {
  readonly kind: 'line'
  readonly text: string
}

export interface RegistersHeard extends Heard {
  readonly kind: 'registers'
  readonly by: string
  readonly table: RegisterTable
  readonly start: number
  readonly words: readonly number[]
}

/** One number as it would be stored: uncalibrated, in the unit of the store. */
export interface TapValue {
  readonly instrument: string
  readonly channel: Channel
  readonly value: number | null
  readonly unit: string
  readonly quality: Quality
}
