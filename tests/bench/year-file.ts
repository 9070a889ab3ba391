import { closeSync, fsyncSync, mkdtempSync, openSync, rmSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { QUALITIES, type Quality } from '../../ingest/reading/reading.ts'
import { SqliteStore } from '../../ingest/store/sqlite-store.ts'
import { timeUs } from '../../ingest/units.ts'

export const DAY_S = 86_400
export const BENCH_SERIES = { bench: 'A', instrument: 'm', channel: 'dissolved-ozone' } as const

/** The reading of each second, as the statement below writes it. */
export const valueAt = (second: number): number => (second % 97) + 0.25
export const qualityAt = (second: number): Quality => (second % 500 === 499 ? 'fault' : 'good')

export interface LongFile {
  readonly store: SqliteStore
  readonly remove: () => void
}

/** So many days of 1 Hz on one channel, not rolled up yet. A year is 2 GB in the temporary folder. */
export const longFile = (days: number): LongFile => {
  const folder = mkdtempSync(join(tmpdir(), 'spargewatch-bench-'))
  const path = join(folder, 'readings.db')
  const store = new SqliteStore({ path, kind: 'simulated', writes: true })
  store.appendNow([
    {
      series: BENCH_SERIES,
      timeUs: timeUs(0),
      bootId: 'b',
      monoMs: 0,
      raw: valueAt(0),
      value: valueAt(0),
      quality: 'good',
      movedUs: 0,
    },
  ])
  // made without a journal on the disk: only this bench ever sees a half-made file
  store.db.pragma('journal_mode = DELETE')
  store.db.pragma('journal_mode = MEMORY')
  store.db.pragma('synchronous = OFF')
  store.db.exec(`WITH RECURSIVE n (i) AS (SELECT 1 UNION ALL SELECT i + 1 FROM n WHERE i < ${days * DAY_S - 1})
    INSERT INTO reading (series, time_us, boot, mono_ms, raw, value, quality)
    SELECT 1, i * 1000000, 1, i * 1000.25, i % 97 + 0.25, i % 97 + 0.25, CASE WHEN i % 500 = 499 THEN ${QUALITIES.indexOf('fault')} ELSE 0 END FROM n`)
  store.db.pragma('journal_mode = WAL')
  store.db.pragma('synchronous = FULL')
  const descriptor = openSync(path, 'r')
  fsyncSync(descriptor)
  closeSync(descriptor)
  const remove = () => {
    store.db.close()
    rmSync(folder, { recursive: true, force: true })
  }
  return { store, remove }
}
