import type { Database } from 'better-sqlite3'
import type { TimeUs } from '../units.ts'
import { HOUR_US } from './envelope-grid.ts'
import type { RollUp } from './roll-up.ts'

export interface StoreSize {
  readonly readings: number
  /** Of the file in use, roll-ups included; null while there are too few readings to tell. */
  readonly bytesPerReading: number | null
  /** By the last whole hours, a day of them at most; null: not known yet. */
  readonly readingsPerDay: number | null
  /** Rows that the roll-ups grow by. */
  readonly rolledPerDay: number
  /** Readings from before there were roll-ups that are still to be rolled up. */
  readonly notRolledUp: number
  /** In the file, given back by removed readings; used again before the file grows. */
  readonly freeInFileBytes: number
}

const FEWEST_READINGS = 1000
const FEWEST_HOURS = 3
const HOURS_OF_A_DAY = 24
/** Further behind than this, the newest hours are not rolled up yet. */
const BEHIND = 100_000
/** One row of an hour and sixty of its minutes. */
const ROWS_PER_HOUR = 61
/** Of a roll-up, on the disk: measured at 1 Hz, a year of minutes and hours. */
const ROLLED_ROW_BYTES = 45

export const sizeOf = (db: Database, rollUp: RollUp, now: TimeUs): StoreSize => {
  const pragma = (name: string) => Number(db.pragma(name, { simple: true }))
  const page = pragma('page_size')
  const free = pragma('freelist_count') * page
  const behind = rollUp.behind()
  const readings = rollUp.rolledUp().rows + behind
  const { perDay, rolledPerDay } = ratesOf(db, now)
  return {
    readings,
    bytesPerReading: readings < FEWEST_READINGS ? null : (pragma('page_count') * page - free) / readings,
    readingsPerDay: behind > BEHIND ? null : perDay,
    rolledPerDay,
    notRolledUp: behind > BEHIND ? behind : 0,
    freeInFileBytes: free,
  }
}

const ratesOf = (db: Database, now: TimeUs) => {
  const thisHour = Math.floor(now / HOUR_US)
  const row = db
    .prepare(
      `SELECT coalesce(sum(count + not_good), 0) AS readings, count(*) AS hours, min(h.unit) AS first
       FROM series s JOIN roll_up_hour h ON h.series = s.id AND h.unit >= ? AND h.unit < ?`,
    )
    .get(thisHour - HOURS_OF_A_DAY, thisHour) as { readings: number; hours: number; first: number | null }
  const hours = row.first === null ? 0 : thisHour - row.first
  const aDay = hours === 0 ? 0 : HOURS_OF_A_DAY / hours
  return {
    perDay: hours < FEWEST_HOURS ? null : row.readings * aDay,
    rolledPerDay: row.hours * aDay * ROWS_PER_HOUR,
  }
}

/**
 * Days until so many bytes are used up at the present rate; null: not known, or not in a hundred years. Where raw readings
 * are removed after some days the file grows until it holds those, then only by its roll-ups.
 */
export const daysUntilFull = (
  { readings, bytesPerReading, readingsPerDay, rolledPerDay }: StoreSize,
  freeBytes: number,
  keepRawDays: number | null,
): number | null => {
  if (bytesPerReading === null || readingsPerDay === null || readingsPerDay === 0) return null
  const perDay = bytesPerReading * readingsPerDay
  if (keepRawDays === null) return withinReach(freeBytes / perDay)
  const yetToCome = Math.max(0, keepRawDays * readingsPerDay - readings) * bytesPerReading
  if (yetToCome >= freeBytes) return withinReach(freeBytes / perDay)
  return withinReach(yetToCome / perDay + (freeBytes - yetToCome) / (rolledPerDay * ROLLED_ROW_BYTES))
}

const withinReach = (days: number): number | null => (days <= 36_525 ? days : null)
