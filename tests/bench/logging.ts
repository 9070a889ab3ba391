import { mkdtempSync, rmSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import Database from 'better-sqlite3'
import type { NewReading } from '../../ingest/reading/reading.ts'
import { SqliteStore } from '../../ingest/store/sqlite-store.ts'
import { timeUs } from '../../ingest/units.ts'
import type { Row } from './row.ts'

const PER_COMMIT = 500
const COMMITS = 60
/** As the daemon does when readings come fast: a step for each 5,000. */
const COMMITS_A_ROLL_UP = 10

const readings = (commit: number): NewReading[] =>
  Array.from({ length: PER_COMMIT }, (_, i) => {
    const n = commit * PER_COMMIT + i
    return {
      series: { bench: `b${n % 50}`, instrument: 'm', channel: 'dissolved-ozone' },
      timeUs: timeUs(n * 1000),
      bootId: 'boot',
      monoMs: n,
      raw: n,
      value: n,
      quality: 'good',
      movedUs: 0,
    }
  })

/** Readings made durable and rolled up per second, in group commits with full sync; peer: the bare driver with a bare table. */
export const benchLogging = (): Row[] => {
  const folder = mkdtempSync(join(tmpdir(), 'spargewatch-bench-'))
  const batches = Array.from({ length: COMMITS }, (_, c) => readings(c))
  const store = new SqliteStore({ path: join(folder, 'readings.db'), kind: 'simulated', writes: true })
  const ours = perSecond(() => {
    for (const [i, batch] of batches.entries()) {
      store.appendNow(batch)
      if (i % COMMITS_A_ROLL_UP === COMMITS_A_ROLL_UP - 1) store.rollUp.step(PER_COMMIT * COMMITS_A_ROLL_UP)
    }
  })
  store.db.close()

  const bare = new Database(join(folder, 'bare.db'))
  bare.pragma('journal_mode = WAL')
  bare.pragma('synchronous = FULL')
  bare.exec('CREATE TABLE r (series INTEGER, time_us INTEGER, value REAL, PRIMARY KEY (series, time_us))')
  const insert = bare.prepare('INSERT INTO r VALUES (?, ?, ?)')
  const insertAll = bare.transaction((batch: readonly NewReading[]) => {
    for (const [i, r] of batch.entries()) insert.run(i % 50, r.timeUs, r.value)
  })
  const peer = perSecond(() => {
    for (const batch of batches) insertAll.immediate(batch)
  })
  bare.close()
  rmSync(folder, { recursive: true, force: true })
  return [
    {
      what: `durable readings per second (commits of ${PER_COMMIT}, full sync), rolled up too`,
      ours: `${Math.round(ours)}/s`,
      peer: `${Math.round(peer)}/s bare driver`,
      ratio: peer / ours,
      budget: '≥ 5,000/s',
    },
  ]
}

const perSecond = (work: () => void): number => {
  const start = performance.now()
  work()
  return (COMMITS * PER_COMMIT) / ((performance.now() - start) / 1000)
}
