import type { Quality, Reading } from '../../ingest/reading/reading.ts'
import { type Correcting, type Correction, corrected, UNCORRECTED } from '../calibration/correction.ts'
import { CalibrationTally } from '../calibration/tally.ts'
import { Column } from './column.ts'
import { type Elapsed, elapsedOf } from './elapsed.ts'

/** Newest reading of a channel, and the server's own steady clock when it came. */
export interface Newest {
  readonly timeUs: number
  readonly value: number | null
  readonly quality: Quality
  readonly elapsedS: number
  readonly receivedMs: number
  /** As the meter sent it. */
  readonly raw: number | null
  readonly correcting: Correcting
}

/** Part of the axis, its start inclusive, its end exclusive. */
export interface Span {
  readonly fromS: number
  readonly toS: number
}

const EVER: Span = { fromS: Number.NEGATIVE_INFINITY, toS: Number.POSITIVE_INFINITY }
export const FROM_ZERO: Span = { fromS: 0, toS: Number.POSITIVE_INFINITY }

export interface Corrections {
  readonly correction: Correction
  /** The fluid's temperature, where the correction depends on it. */
  readonly thermometer?: ChannelMemory
  /** From here on the tally counts; what came before is not of this fill. */
  readonly countFromS: number
}

const NO_CORRECTIONS: Corrections = { correction: UNCORRECTED, countFromS: Number.NEGATIVE_INFINITY }

/** Readings of one channel kept in memory at most: a day at 1 Hz. Beyond it the oldest tenth is let go. */
const MOST_KEPT = 90_000
/** Where no batch is open, a number and what was lately in the signal are all that is asked for. */
export const KEPT_BETWEEN_BATCHES_S = 900
const LONGEST_BEFORE_S = 600

/**
 * What the server holds of one channel of a bench for the present batch: times on the steady axis and
 * calibrated values, NaN where there is no usable number.
 */
export class ChannelMemory {
  readonly timesS = new Column()
  readonly values = new Column()
  readonly clipped: number[] = []
  readonly tally = new CalibrationTally()
  newest: Newest | undefined
  newestGood: Newest | undefined
  private elapsed: Elapsed | undefined
  private readonly startUs: number
  private readonly how: Corrections
  private readonly keptS: number

  /** @param keptS for how long a reading is kept at least, s; some are for twice as long */
  constructor(startUs: number, how: Corrections = NO_CORRECTIONS, keptS = Number.POSITIVE_INFINITY) {
    this.startUs = startUs
    this.how = how
    this.keptS = keptS
  }

  /** Readings outside the span of the axis are not of this batch, whatever their names are. */
  add(reading: Reading, receivedMs: number, { fromS, toS }: Span = EVER): void {
    const elapsed = elapsedOf(reading, this.elapsed, this.startUs)
    // a late or repeated reading never moves the axis back
    if (this.elapsed && elapsed.seconds <= this.elapsed.seconds) return
    if (elapsed.seconds < fromS || elapsed.seconds >= toS) return
    this.elapsed = elapsed
    const atMs = (reading.timeUs - reading.movedUs) / 1000
    const correcting = this.how.correction(atMs, this.how.thermometer?.valueBefore(elapsed.seconds))
    const value = reading.value === null ? null : corrected(reading.value, correcting)
    const usable = reading.quality === 'good' || reading.quality === 'clipped'
    this.timesS.push(elapsed.seconds)
    this.values.push(usable && value !== null ? value : Number.NaN)
    this.clipped.push(reading.quality === 'clipped' ? 1 : 0)
    if (usable && value !== null && elapsed.seconds >= this.how.countFromS) this.tally.count(correcting)
    this.newest = {
      timeUs: reading.timeUs,
      value,
      quality: reading.quality,
      elapsedS: elapsed.seconds,
      receivedMs,
      raw: reading.raw,
      correcting,
    }
    if (usable) this.newestGood = this.newest
    this.letGo(elapsed.seconds)
  }

  /** Newest number before a moment of the axis, none older than ten minutes. */
  valueBefore(atS: number): number | undefined {
    const times = this.timesS.view()
    const values = this.values.view()
    for (let i = this.countBefore(atS) - 1; i >= 0 && (times[i] ?? 0) > atS - LONGEST_BEFORE_S; i--) {
      const value = values[i] ?? Number.NaN
      if (!Number.isNaN(value)) return value
    }
    return undefined
  }

  private countBefore(atS: number): number {
    const times = this.timesS.view()
    let low = 0
    let high = times.length
    while (low < high) {
      const middle = (low + high) >>> 1
      if ((times[middle] ?? 0) < atS) low = middle + 1
      else high = middle
    }
    return low
  }

  /** Not one by one: each time moves what is left. */
  private letGo(nowS: number): void {
    const oldestS = this.timesS.view()[0] ?? nowS
    if (nowS - oldestS > 2 * this.keptS) this.dropOldest(this.countBefore(nowS - this.keptS))
    if (this.timesS.length > MOST_KEPT) this.dropOldest(Math.floor(MOST_KEPT / 10))
  }

  private dropOldest(count: number): void {
    this.timesS.dropFirst(count)
    this.values.dropFirst(count)
    this.clipped.splice(0, count)
  }
}
