import { execFileSync } from 'node:child_process'
import { existsSync, statSync } from 'node:fs'
import { join } from 'node:path'
import Database from 'better-sqlite3'
import { describe, expect, it } from 'vitest'
import type { NewReading } from '../../../ingest/reading/reading.ts'
import { follow } from '../../../ingest/store/follow.ts'
import { claimHome } from '../../../ingest/store/home.ts'
import { migrate } from '../../../ingest/store/migrations.ts'
import { openFile } from '../../../ingest/store/open-file.ts'
import { SqliteStore } from '../../../ingest/store/sqlite-store.ts'
import { timeUs } from '../../../ingest/units.ts'
import { temporaryFolder } from '../../support/temporary-folder.ts'

const reading = (s: number, value = s): NewReading => ({
  series: { bench: 'A', instrument: 'm', channel: 'dissolved-ozone' },
  timeUs: timeUs(s * 1e6),
  bootId: 'boot',
  monoMs: s * 1000,
  raw: value,
  value,
  quality: 'good',
  movedUs: 0,
})
const create = (path = join(temporaryFolder(), 'readings.db')) => ({
  path,
  store: new SqliteStore({ path, kind: 'real', writes: true }),
})

describe('the SQLite file', () => {
  it('syncs fully on every connection, also after it is opened again', async () => {
    const { path, store } = create()
    expect(store.db.pragma('synchronous', { simple: true })).toBe(2)
    await store.close()
    const again = new SqliteStore({ path, kind: 'real', writes: true })
    expect([
      again.db.pragma('synchronous', { simple: true }),
      again.db.pragma('journal_mode', { simple: true }),
    ]).toEqual([2, 'wal'])
    await again.close()
  })

  it('is readable by its owner only', async () => {
    const { path, store } = create()
    expect(statSync(path).mode & 0o077).toBe(0)
    await store.close()
  })

  it('of simulated data never opens as real data, nor the reverse', async () => {
    const { path, store } = create()
    await store.close()
    expect(() => new SqliteStore({ path, kind: 'simulated', writes: true })).toThrow(
      /needs to hold simulated data/,
    )
  })

  it('written by a newer program is refused with the way out', async () => {
    const { path, store } = create()
    store.db.pragma('user_version = 99')
    await store.close()
    expect(() => create(path)).toThrow(/newer program \(schema 99.*upgrade the program/)
  })

  it('that is no database is refused by name', async () => {
    const path = join(temporaryFolder(), 'readings.db')
    execFileSync('sh', ['-c', 'head -c 8192 /dev/urandom > "$1"', 'sh', path])
    expect(() => create(path)).toThrow(/readings\.db cannot be used as a database/)
  })

  it('is backed up before its schema moves on, and not when it is new', () => {
    const path = join(temporaryFolder(), 'x.db')
    const one = ['CREATE TABLE a (x)']
    openFile({ path, kind: 'real', steps: one, writes: true }).close()
    expect(existsSync(`${path}.before-schema-1`)).toBe(false)
    openFile({ path, kind: 'real', steps: [...one, 'CREATE TABLE b (y)'], writes: true }).close()
    const copy = new Database(`${path}.before-schema-2`, { readonly: true })
    expect(copy.prepare("SELECT name FROM sqlite_master WHERE type = 'table'").pluck().all()).toEqual(['a'])
    copy.close()
  })

  it('keeps the old schema whole when a step fails half way', () => {
    const db = new Database(':memory:')
    expect(() =>
      migrate(db, { steps: ['CREATE TABLE a (x); CREATE TABLE a (x)'], backUp: () => {}, fileName: 'x' }),
    ).toThrow()
    expect(db.prepare('SELECT count(*) FROM sqlite_master').pluck().get()).toBe(0)
    expect(db.pragma('user_version', { simple: true })).toBe(0)
  })

  it('goes on after a rolled-back commit without mixing up series numbers', async () => {
    const { store } = create()
    const bad = { ...reading(1.5), quality: 'nonsense' as never }
    expect(() => store.appendNow([reading(1), bad])).toThrow()
    store.appendNow([
      { ...reading(2), series: { bench: 'B', instrument: 'm', channel: 'dissolved-ozone' } },
      reading(3),
    ])
    expect(store.after(0, 10).map((r) => [r.series.bench, r.value])).toEqual([
      ['B', 2],
      ['A', 3],
    ])
    await store.close()
  })
})

describe('following the file', () => {
  it('brings what another connection commits, in order of arrival, late ones included, and nothing twice', async () => {
    const { path, store } = create()
    store.appendNow([reading(100)])
    const reader = new SqliteStore({ path, kind: 'real', writes: false })
    const seen: (number | null)[] = []
    const stop = follow(reader, {
      afterSeq: 0,
      everyMs: 5,
      onReadings: (news) => seen.push(...news.map((r) => r.value)),
      onTrouble: (e) => {
        throw e
      },
    })
    expect(seen).toEqual([100])
    store.appendNow([reading(300), reading(200)])
    store.appendNow([reading(50)])
    await expect.poll(() => seen).toEqual([100, 300, 200, 50])
    stop()
    await reader.close()
    await store.close()
  })

  it('refuses a connection that may write, because it would be blind to its own commits', async () => {
    const { store } = create()
    expect(() => follow(store, { afterSeq: 0, onReadings: () => {}, onTrouble: () => {} })).toThrow(
      /never writes/,
    )
    await store.close()
  })
})

describe('a home', () => {
  it('has room for one daemon, one server and one supervisor, and says which is there already', () => {
    const home = temporaryFolder()
    const release = claimHome(home, 'daemon')
    const server = claimHome(home, 'server')
    expect(() => claimHome(home, 'daemon')).toThrow(/already in use by another daemon/)
    release()
    claimHome(home, 'daemon')()
    server()
  })
})
