import type { Database } from 'better-sqlite3'
import type { TimeUs } from '../units.ts'
import type { RollUp } from './roll-up.ts'

export interface Pruning {
  readonly before: TimeUs
  /** Length of time taken away at once, from the oldest reading on, µs; Infinity: all of it. */
  readonly sliceUs: number
  /** What the program itself does by a setting: imported files and the newest reading of every series stay. */
  readonly sparing: boolean
  /** Readings that arrived later stay: another place does not have them yet. */
  readonly upToSeq?: number
}

interface Span {
  readonly id: number
  readonly oldest: number
  readonly before: number
}

/**
 * Takes raw readings away, oldest first, and only those that the roll-ups hold. `pruned` remembers per series up to where
 * raw readings may be missing, so that nothing later takes their absence for silence.
 */
export const createRetention = (db: Database, rollUp: RollUp) => {
  const allSeries = db.prepare('SELECT id FROM series').pluck()
  const wiredSeries = db.prepare("SELECT id FROM series WHERE instrument NOT LIKE 'import:%'").pluck()
  const ends = db.prepare(
    `SELECT (SELECT min(time_us) FROM reading WHERE series = :id) AS oldest,
            (SELECT max(time_us) FROM reading WHERE series = :id) AS newest`,
  )
  const remove = db.prepare('DELETE FROM reading WHERE series = ? AND time_us < ? AND seq <= ?')
  const note = db.prepare(
    `INSERT INTO pruned (series, before_us) VALUES (?, ?)
     ON CONFLICT (series) DO UPDATE SET before_us = max(before_us, excluded.before_us)`,
  )
  const count = db.prepare('UPDATE rolled_up SET rows = rows - ?')
  const noted = db.prepare('SELECT before_us FROM pruned WHERE series = ?').pluck()

  const spanOf = (id: number, { before, sparing }: Pruning): Span[] => {
    const { oldest, newest } = ends.get({ id }) as { oldest: number | null; newest: number | null }
    if (oldest === null || newest === null) return []
    const limit = sparing ? Math.min(before, newest) : before
    return oldest < limit ? [{ id, oldest, before: limit }] : []
  }

  const slice = (pruning: Pruning): number => {
    const ids = (pruning.sparing ? wiredSeries : allSeries).all() as number[]
    const spans = ids.flatMap((id) => spanOf(id, pruning))
    const end = Math.min(...spans.map((s) => s.oldest)) + pruning.sliceUs
    const seq = Math.min(rollUp.rolledUp().seq, pruning.upToSeq ?? Number.MAX_SAFE_INTEGER)
    let removed = 0
    for (const { id, before } of spans) {
      const upTo = Math.min(before, end)
      const { changes } = remove.run(id, upTo, seq)
      if (changes > 0) note.run(id, upTo)
      removed += changes
    }
    if (removed > 0) count.run(removed)
    return removed
  }
  const inTransaction = db.transaction(slice)

  return {
    /** One short transaction; returns how many readings went. */
    slice: (pruning: Pruning): number => inTransaction.immediate(pruning),
    /** Raw readings of a series before this may have been removed; undefined: none ever were. */
    keptFrom: (id: number): TimeUs | undefined => noted.get(id) as TimeUs | undefined,
  }
}

export type Retention = ReturnType<typeof createRetention>
