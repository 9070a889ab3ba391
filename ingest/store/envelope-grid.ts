import { type TimeUs, timeUs } from '../units.ts'
import type { EnvelopePoint } from './store.ts'

export const MINUTE_US = 60e6
export const HOUR_US = 3600e6

/** Columns of a plot: column n holds `origin + n·width ≤ time < origin + (n + 1)·width`, within `from` and `to`. */
export interface Grid {
  readonly from: TimeUs
  readonly to: TimeUs
  readonly origin: number
  readonly width: number
  /** Length of the roll-ups that the columns are made of, µs; null: from raw readings. */
  readonly unit: typeof MINUTE_US | typeof HOUR_US | null
}

/** A column of fewer roll-ups than this would be much wider than asked for once it is rounded up to whole ones. */
const FEWEST_UNITS = 2
/** From here on minutes serve however many columns are asked for: 170,000 readings at 1 Hz, about 0.1 s to read raw. */
const LONG_US = 48 * HOUR_US

/**
 * The grid for a range in at most `points` columns. Roll-ups can only be added up whole, so a long range gets columns of
 * whole minutes or hours, counted from 1970; its first and last column may then be partly outside the range. A short range
 * is divided evenly from `from` on. `rawKeptFrom`: before it only roll-ups are left, and columns are never finer than those.
 */
export const gridOf = (from: TimeUs, to: TimeUs, points: number, rawKeptFrom = 0): Grid => {
  const columns = Math.max(1, Math.floor(points))
  const wanted = Math.ceil((to - from) / columns)
  const unit = unitFor(wanted, from < rawKeptFrom || to - from >= LONG_US)
  if (unit === null) return { from, to, origin: from, width: Math.max(1, wanted), unit }
  const origin = Math.floor(from / unit) * unit
  // with one column the range may still touch a unit more than fits in its rounded length
  const width = Math.ceil((Math.ceil(to / unit) * unit - origin) / columns / unit) * unit
  return { from, to, origin, width, unit }
}

const unitFor = (wanted: number, neverRaw: boolean): Grid['unit'] => {
  if (wanted >= FEWEST_UNITS * HOUR_US) return HOUR_US
  return neverRaw || wanted >= FEWEST_UNITS * MINUTE_US ? MINUTE_US : null
}

/** What some readings of one column come to. Can be added to another part of the same column without loss. */
export interface Part {
  readonly bucket: number
  readonly least: number | null
  readonly greatest: number | null
  readonly sum: number
  readonly count: number
  readonly not_good: number
}

/** Columns from parts of columns, in order of time. */
export const columnsOf = (grid: Grid, parts: Iterable<Part>): EnvelopePoint[] => {
  const columns = new Map<number, Part>()
  for (const part of parts) {
    const before = columns.get(part.bucket)
    columns.set(part.bucket, before ? added(before, part) : part)
  }
  return [...columns.values()].sort((a, b) => a.bucket - b.bucket).map((part) => pointOf(grid, part))
}

const added = (a: Part, b: Part): Part => ({
  bucket: a.bucket,
  least: least(a.least, b.least),
  greatest: greatest(a.greatest, b.greatest),
  sum: a.sum + b.sum,
  count: a.count + b.count,
  not_good: a.not_good + b.not_good,
})

const least = (a: number | null, b: number | null) => (a === null || b === null ? (a ?? b) : Math.min(a, b))
const greatest = (a: number | null, b: number | null) =>
  a === null || b === null ? (a ?? b) : Math.max(a, b)

const pointOf = (grid: Grid, part: Part): EnvelopePoint => ({
  timeUs: timeUs(Math.max(grid.from, grid.origin + part.bucket * grid.width)),
  min: part.least,
  max: part.greatest,
  mean: part.count === 0 ? null : part.sum / part.count,
  count: part.count,
  notGood: part.not_good,
})
