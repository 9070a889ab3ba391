import type { NewReading, Quality, Reading, SeriesKey } from '../reading/reading.ts'
import type { TimeUs } from '../units.ts'

/**
 * Where readings meet. One interface, several backends, one contract test.
 *
 * - Identity is series + time. Appending an identical reading again is a no-op; a different reading at the
 *   same identity is refused and returned as `conflicting`, never written over the first.
 * - A reading returned as `stored` is durable: it survives a kill and a power cut.
 * - `range` is in time order; late readings appear in their place. Times are µs UTC, `from` inclusive, `to` exclusive.
 */
export interface ReadingStore {
  append(batch: readonly NewReading[]): Promise<AppendResult>
  range(series: SeriesKey, from: TimeUs, to: TimeUs): Promise<Reading[]>
  envelope(series: SeriesKey, from: TimeUs, to: TimeUs, points: number): Promise<EnvelopePoint[]>
  /**
   * Removes readings older than `before`; returns how many. Ledger and events are never pruned, and the envelope of a
   * long range still counts what was removed.
   */
  prune(before: TimeUs): Promise<number>
  close(): Promise<void>
}

export interface AppendResult {
  readonly stored: readonly Reading[]
  /** Already there, identical. */
  readonly repeated: number
  readonly conflicting: readonly NewReading[]
}

/**
 * One plot column, of at most as many as asked for; over a long range it may be cut at whole minutes or hours of UTC.
 * `min` and `max` are exact over the readings of quality good or clipped that fall in it;
 * `notGood` counts the readings of any other quality. Columns without any reading are left out.
 */
export interface EnvelopePoint {
  readonly timeUs: TimeUs
  readonly min: number | null
  readonly max: number | null
  readonly mean: number | null
  readonly count: number
  readonly notGood: number
}

/** What the daemon tells about itself, kept with the readings. */
export interface DaemonEvent {
  readonly id: number
  readonly timeUs: TimeUs
  readonly monoMs: number
  readonly kind:
    | 'started'
    | 'stopped'
    | 'rewired'
    | 'wiring-refused'
    | 'gap'
    | 'clock-step'
    | 'port-state'
    | 'discarded'
    | 'store-trouble'
  readonly port: string | null
  readonly detail: Readonly<Record<string, unknown>>
}

export type NewDaemonEvent = Omit<DaemonEvent, 'id'>

/** Present state of one port, rewritten in place. */
export interface PortStatus {
  readonly port: string
  readonly timeUs: TimeUs
  readonly state: 'opening' | 'open' | 'silent' | 'waiting' | 'stopped'
  readonly why: string | null
  readonly frames: number
  readonly readings: number
  readonly discarded: Readonly<Record<string, number>>
  readonly lastReadingUs: TimeUs | null
}

/** A series with what is known of its instrument from the wiring. */
export interface SeriesInfo extends SeriesKey {
  readonly site: string
  readonly unit: string
  readonly port: string
  readonly fullScale: number | null
  readonly intervalS: number
  /** False for a series that the present wiring no longer has. */
  readonly wired: boolean
}

export const GOOD_FOR_ENVELOPE: readonly Quality[] = ['good', 'clipped']
