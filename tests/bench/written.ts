import { existsSync, mkdtempSync, readFileSync, rmSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import type { NewReading } from '../../ingest/reading/reading.ts'
import { SqliteStore } from '../../ingest/store/sqlite-store.ts'
import { timeUs } from '../../ingest/units.ts'
import type { Row } from './row.ts'

const SERIES = 100
const MINUTES = 3
const IO = '/proc/self/io'

/** What reached the disk, by the kernel's count; only Linux tells. */
const bytesWritten = (): number => Number(/^write_bytes: (\d+)/m.exec(readFileSync(IO, 'utf8'))?.[1])

/** A tenth of a second of 100 channels at 1 Hz, or the whole of it, in one commit. */
const commitOf = (second: number, part: number, parts: number): NewReading[] =>
  Array.from({ length: SERIES / parts }, (_, i) => {
    const series = part * (SERIES / parts) + i
    const value = (second * 7 + series) % 30
    return {
      series: { bench: `b${series}`, instrument: 'm', channel: 'dissolved-ozone' },
      timeUs: timeUs((1_767_225_600 + second) * 1e6 + series * 1000),
      bootId: 'boot',
      monoMs: second * 1000 + series,
      raw: value,
      value,
      quality: 'good',
      movedUs: 0,
    }
  })

const measured = (parts: number, rollUp: boolean) => {
  const folder = mkdtempSync(join(tmpdir(), 'spargewatch-bench-'))
  const store = new SqliteStore({ path: join(folder, 'readings.db'), kind: 'simulated', writes: true })
  store.appendNow(commitOf(-1, 0, 1))
  const before = bytesWritten()
  for (let second = 0; second < MINUTES * 60; second++) {
    for (let part = 0; part < parts; part++) store.appendNow(commitOf(second, part, parts))
    if (rollUp && second % 60 === 59) while (store.rollUp.step(10_000) > 0);
  }
  store.db.pragma('wal_checkpoint(TRUNCATE)')
  const written = (bytesWritten() - before) / (SERIES * MINUTES * 60)
  store.db.close()
  rmSync(folder, { recursive: true, force: true })
  return written
}

/** Bytes that reach the disk per reading, as the daemon commits; peer: the same without roll-ups. */
export const benchWritten = (): Row[] =>
  existsSync(IO)
    ? [10, 1].map((parts) => {
        const ours = measured(parts, true)
        const peer = measured(parts, false)
        return {
          what: `bytes written per reading, 100 channels at 1 Hz, ${SERIES / parts} to a commit`,
          ours: ours.toFixed(0),
          peer: `${peer.toFixed(0)} without roll-ups`,
          ratio: ours / peer,
          budget: '',
        }
      })
    : []
