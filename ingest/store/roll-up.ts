import type { Database } from 'better-sqlite3'
import { QUALITIES } from '../reading/reading.ts'
import { HOUR_US, MINUTE_US } from './envelope-grid.ts'
import { GOOD_FOR_ENVELOPE } from './store.ts'

/** SQL: is this reading's quality one that least, greatest and mean are taken over? */
export const IS_GOOD = `quality IN (${GOOD_FOR_ENVELOPE.map((q) => QUALITIES.indexOf(q)).join(', ')})`

/** SQL: what a group of readings comes to, under the names that the roll-up tables have. */
export const SUMMED = `min(CASE WHEN ${IS_GOOD} THEN value END) AS least, max(CASE WHEN ${IS_GOOD} THEN value END) AS greatest,
  total(CASE WHEN ${IS_GOOD} THEN value END) AS sum, count(CASE WHEN ${IS_GOOD} THEN value END) AS count,
  sum(NOT ${IS_GOOD}) AS not_good`

export const ROLL_UP_TABLES = [
  { table: 'roll_up_minute', unit: MINUTE_US },
  { table: 'roll_up_hour', unit: HOUR_US },
] as const

export interface RolledUp {
  /** Readings that arrived up to here are in the roll-ups, each exactly once; later ones in none. */
  readonly seq: number
  /** How many readings the file holds of those. */
  readonly rows: number
}

/**
 * Roll-ups by order of arrival. Stored readings never change, so each is added once to its minute and its hour, in the
 * transaction that also moves `rolled_up.seq` past it: a kill leaves both or neither. A late reading is one like any other,
 * also where the raw readings of its minute are gone.
 */
export const createRollUp = (db: Database) => {
  const state = db.prepare('SELECT seq, rows FROM rolled_up')
  const newest = db.prepare('SELECT coalesce(max(seq), 0) FROM reading').pluck()
  const chunk = db.prepare(
    'SELECT coalesce(max(seq), 0) AS seq, count(*) AS rows FROM (SELECT seq FROM reading WHERE seq > ? ORDER BY seq LIMIT ?)',
  )
  const advance = db.prepare('UPDATE rolled_up SET seq = ?, rows = rows + ?')
  const add = ROLL_UP_TABLES.map(({ table, unit }) => db.prepare(addTo(table, unit)))

  const rolledUp = () => state.get() as RolledUp

  const step = (most: number): number => {
    const { seq } = rolledUp()
    const { seq: last, rows } = chunk.get(seq, most) as RolledUp
    if (rows === 0) return 0
    for (const statement of add) statement.run(seq, last)
    advance.run(last, rows)
    return rows
  }
  const inTransaction = db.transaction(step)

  return {
    rolledUp,
    /** Arrival numbers that are not rolled up yet; 0 when all are. */
    behind: (): number => Math.max(0, Number(newest.get()) - rolledUp().seq),
    /** Rolls up to `most` readings up, in one short transaction; returns how many. */
    step: (most: number): number => inTransaction.immediate(most),
  }
}

export type RollUp = ReturnType<typeof createRollUp>

const addTo = (table: string, unit: number): string =>
  // min() and max() of two give NULL when either is; a minute of faults only has neither
  `INSERT INTO ${table} (series, unit, least, greatest, sum, count, not_good)
   SELECT series, time_us / ${unit} AS unit, ${SUMMED} FROM reading NOT INDEXED WHERE seq > ? AND seq <= ? GROUP BY 1, 2
   ON CONFLICT (series, unit) DO UPDATE SET
     least = min(coalesce(least, excluded.least), coalesce(excluded.least, least)),
     greatest = max(coalesce(greatest, excluded.greatest), coalesce(excluded.greatest, greatest)),
     sum = sum + excluded.sum, count = count + excluded.count, not_good = not_good + excluded.not_good`
