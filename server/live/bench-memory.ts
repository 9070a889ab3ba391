import type { Quality, Reading } from '../../ingest/reading/reading.ts'
import { type CalibrationInForce, calibrated } from '../calibration/in-force.ts'
import { Column } from './column.ts'
import { type Elapsed, elapsedOf } from './elapsed.ts'

/** Newest reading of a channel, and the server's own steady clock when it came. */
export interface Newest {
  readonly timeUs: number
  readonly value: number | null
  readonly quality: Quality
  readonly elapsedS: number
  readonly receivedMs: number
}

/** Part of the axis, its start inclusive, its end exclusive. */
export interface Span {
  readonly fromS: number
  readonly toS: number
}

const EVER: Span = { fromS: Number.NEGATIVE_INFINITY, toS: Number.POSITIVE_INFINITY }
export const FROM_ZERO: Span = { fromS: 0, toS: Number.POSITIVE_INFINITY }

/** Readings of one channel kept in memory at most: a day at 1 Hz. Beyond it the oldest tenth is let go. */
const MOST_KEPT = 90_000

/**
 * What the server holds of one channel of a bench for the present batch: times on the steady axis and
 * calibrated values, NaN where there is no usable number.
 */
export class ChannelMemory {
  readonly timesS = new Column()
  readonly values = new Column()
  readonly clipped: number[] = []
  newest: Newest | undefined
  newestGood: Newest | undefined
  private elapsed: Elapsed | undefined
  private readonly startUs: number
  private readonly calibration: CalibrationInForce | undefined

  constructor(startUs: number, calibration: CalibrationInForce | undefined) {
    this.startUs = startUs
    this.calibration = calibration
  }

  /** Readings outside the span of the axis are not of this batch, whatever their names are. */
  add(reading: Reading, receivedMs: number, { fromS, toS }: Span = EVER): void {
    const elapsed = elapsedOf(reading, this.elapsed, this.startUs)
    // a late or repeated reading never moves the axis back
    if (this.elapsed && elapsed.seconds <= this.elapsed.seconds) return
    if (elapsed.seconds < fromS || elapsed.seconds >= toS) return
    this.elapsed = elapsed
    const value = reading.value === null ? null : calibrated(reading.value, this.calibration)
    const usable = reading.quality === 'good' || reading.quality === 'clipped'
    this.timesS.push(elapsed.seconds)
    this.values.push(usable && value !== null ? value : Number.NaN)
    this.clipped.push(reading.quality === 'clipped' ? 1 : 0)
    this.newest = {
      timeUs: reading.timeUs,
      value,
      quality: reading.quality,
      elapsedS: elapsed.seconds,
      receivedMs,
    }
    if (usable) this.newestGood = this.newest
    if (this.timesS.length > MOST_KEPT) this.dropOldest(Math.floor(MOST_KEPT / 10))
  }

  private dropOldest(count: number): void {
    this.timesS.dropFirst(count)
    this.values.dropFirst(count)
    this.clipped.splice(0, count)
  }
}
