import type { Database } from 'better-sqlite3'
import type { TimeUs } from '../units.ts'
import { columnsOf, type Grid, gridOf, HOUR_US, type Part } from './envelope-grid.ts'
import { type RollUp, SUMMED } from './roll-up.ts'
import type { EnvelopePoint } from './store.ts'

/** More readings than this outside the roll-ups (an old file being rolled up for the first time): raw is faster. */
const FAR_BEHIND = 100_000

/**
 * The envelope of one series from roll-ups where a range is long, made exact with raw readings: those of the range's ends
 * that fall inside a unit, and those that no roll-up holds yet.
 */
export const createEnvelope = (db: Database, rollUp: RollUp) => {
  // the driver binds numbers as REAL; whole division needs the casts
  const bucket = (time: string) => `(${time} - CAST(:origin AS INTEGER)) / CAST(:width AS INTEGER) AS bucket`
  const raw = db.prepare(
    `SELECT ${bucket('time_us')}, ${SUMMED} FROM reading
     WHERE series = :id AND time_us >= :from AND time_us < :to GROUP BY 1`,
  )
  // by order of arrival: the index by time would read the whole range
  const fresh = db.prepare(
    `SELECT ${bucket('time_us')}, ${SUMMED} FROM reading NOT INDEXED
     WHERE seq > :seq AND series = :id AND time_us >= :from AND time_us < :to GROUP BY 1`,
  )
  const rolled = (table: string) =>
    db.prepare(
      `SELECT ${bucket('unit * CAST(:unit AS INTEGER)')}, min(least) AS least, max(greatest) AS greatest,
         total(sum) AS sum, sum(count) AS count, sum(not_good) AS not_good FROM ${table}
       WHERE series = :id AND unit >= :from / :unit AND unit < :to / :unit GROUP BY 1`,
    )
  const byMinute = rolled('roll_up_minute')
  const byHour = rolled('roll_up_hour')
  const kept = db.prepare('SELECT before_us FROM pruned WHERE series = ?').pluck()

  const parts = (id: number, grid: Grid, unit: number, rawKeptFrom: number): Part[] => {
    const { origin, width } = grid
    const { from, to } = wholeUnits(grid, unit, rawKeptFrom)
    const rawBetween = (a: number, b: number) =>
      a < b ? (raw.all({ id, origin, width, from: a, to: b }) as Part[]) : []
    const table = unit === HOUR_US ? byHour : byMinute
    return [
      ...rawBetween(grid.from, Math.min(from, grid.to)),
      ...(table.all({ id, origin, width, unit, from, to }) as Part[]),
      ...(fresh.all({ id, origin, width, from, to, seq: rollUp.rolledUp().seq }) as Part[]),
      ...rawBetween(Math.max(from, to, grid.from), grid.to),
    ]
  }

  const read = (id: number, from: TimeUs, to: TimeUs, points: number): EnvelopePoint[] => {
    const rawKeptFrom = Number(kept.get(id) ?? 0)
    const grid = gridOf(from, to, points, rawKeptFrom)
    const useRaw = grid.unit === null || (from >= rawKeptFrom && rollUp.behind() > FAR_BEHIND)
    if (grid.unit === null || useRaw) {
      const { origin, width } = grid
      return columnsOf(grid, raw.all({ id, origin, width, from, to }) as Part[])
    }
    return columnsOf(grid, parts(id, grid, grid.unit, rawKeptFrom))
  }
  // one view of the file for all its queries: a roll-up in between would count readings twice or not at all
  return db.transaction(read)
}

/** The whole units inside a range; where the raw readings of a cut unit are gone, the unit is taken whole. */
const wholeUnits = (grid: Grid, unit: number, rawKeptFrom: number) => {
  const down = (time: number) => Math.floor(time / unit) * unit
  const up = (time: number) => Math.ceil(time / unit) * unit
  const from = down(grid.from) < rawKeptFrom ? down(grid.from) : up(grid.from)
  const to = down(grid.to) < rawKeptFrom ? up(grid.to) : down(grid.to)
  return { from, to: Math.max(from, to) }
}
