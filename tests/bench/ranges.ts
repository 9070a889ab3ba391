import { mkdtempSync, rmSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { SqliteStore } from '../../ingest/store/sqlite-store.ts'
import { timeUs } from '../../ingest/units.ts'
import { type Row, timeOf } from './row.ts'

const DAY_S = 86_400
const DAYS = 30
const series = { bench: 'A', instrument: 'm', channel: 'dissolved-ozone' } as const

/** A month of 1 Hz on one channel, opened as 1,000 plot columns; peer: counting the same rows. */
export const benchRanges = (): Row[] => {
  const folder = mkdtempSync(join(tmpdir(), 'spargewatch-bench-'))
  const store = new SqliteStore({ path: join(folder, 'readings.db'), kind: 'simulated', writes: true })
  store.appendNow([
    { series, timeUs: timeUs(0), bootId: 'b', monoMs: 0, raw: 0, value: 0, quality: 'good', movedUs: 0 },
  ])
  store.db.exec(`WITH RECURSIVE n (i) AS (SELECT 1 UNION ALL SELECT i + 1 FROM n WHERE i < ${DAYS * DAY_S - 1})
    INSERT INTO reading (series, time_us, boot, mono_ms, raw, value, quality) SELECT 1, i * 1000000, 1, i * 1000, i % 97, i % 97, 0 FROM n`)
  const rows = [1, 14, DAYS].map((days): Row => {
    const to = timeUs(days * DAY_S * 1e6)
    const ours = timeOf(() => void store.envelopeNow(series, timeUs(0), to, 1000), 3)
    const count = store.db.prepare(
      'SELECT count(value) FROM reading WHERE series = 1 AND time_us >= 0 AND time_us < ?',
    )
    const peer = timeOf(() => void count.get(to), 3)
    return {
      what: `${days} d of 1 Hz as 1,000 exact columns, from raw readings`,
      ours: `${ours.toFixed(0)} ms`,
      peer: `${peer.toFixed(0)} ms counting the same rows`,
      ratio: ours / peer,
      budget: 'a year ≤ 500 ms (needs roll-ups: not built yet)',
    }
  })
  store.db.close()
  rmSync(folder, { recursive: true, force: true })
  return rows
}
