import type { Database, Statement } from 'better-sqlite3'
import { type FileKind, openFile } from '../../ingest/store/open-file.ts'
import { ServerError } from '../errors.ts'
import { conflictWith, newerByPeople } from './conflict.ts'
import { ENTRY_DATA, type Entry, type EntryData, type EntryKind, type Who } from './entry.ts'
import { GENESIS, hashOf, type Unhashed } from './hash-chain.ts'
import { LEDGER_MIGRATIONS } from './ledger-migrations.ts'
import { isDiskFull, writeOnFullDisk } from './reserve.ts'

/** An entry before the ledger has given it a number and a hash. */
export interface NewEntry<K extends EntryKind = EntryKind> {
  readonly id: string
  readonly happened_at: string
  readonly entered_at: string
  readonly bench: string | null
  readonly batch: string | null
  readonly who: Who
  readonly why?: string | null
  readonly kind: K
  readonly data: EntryData<K>
  /** Newest entry of the same batch the writer had seen; a newer one makes this a conflict. Undefined skips the check. */
  readonly expectedSeq?: number
}

interface EntryRow {
  seq: number
  id: string
  happened_at: string
  entered_at: string
  bench: string | null
  batch: string | null
  who: string
  why: string | null
  kind: string
  data: string
  prev: string
  hash: string
}

export type Appended = { readonly entry: Entry; readonly repeated: boolean }

/**
 * The append-only ledger, one SQLite file, written by the server alone. Every append is one immediate
 * transaction with full sync: when it returns, the entry survives a power cut.
 */
export class Ledger {
  readonly db: Database
  private readonly insert: Statement
  private readonly listeners = new Set<(entry: Entry) => void>()

  /** @param writes false: for another process that only reads; the server alone writes */
  constructor(path: string, kind: FileKind, writes = true) {
    this.db = openFile({ path, kind, steps: LEDGER_MIGRATIONS, writes })
    this.insert = this.db.prepare(
      `INSERT INTO entry (seq, id, happened_at, entered_at, bench, batch, who, why, kind, data, prev, hash)
       VALUES (@seq, @id, @happened_at, @entered_at, @bench, @batch, @who, @why, @kind, @data, @prev, @hash)`,
    )
  }

  /**
   * Appends one entry. The same id again returns the entry that is there and writes nothing, so a retry is
   * harmless. Throws `conflict` with the newer entries when `expectedSeq` is not the batch's newest.
   */
  append<K extends EntryKind>(fresh: NewEntry<K>): Appended {
    const done = this.write(() => this.appendInside(fresh))
    if (!done.repeated) for (const listener of this.listeners) listener(done.entry)
    return done
  }

  /**
   * Many entries in one transaction (history, imports, daemon events). `daemonEvent` is remembered as seen in
   * the same transaction, so that a kill between the two cannot record an event twice.
   */
  appendAll(fresh: readonly NewEntry[], daemonEvent?: number): Appended[] {
    const done = this.write(() => {
      if (daemonEvent !== undefined) this.markDaemonEventSeen(daemonEvent)
      return fresh.map((entry) => this.appendInside(entry))
    })
    for (const { entry, repeated } of done)
      if (!repeated) for (const listener of this.listeners) listener(entry)
    return done
  }

  private write<T>(work: () => T): T {
    try {
      return writeOnFullDisk(this.db, () => this.db.transaction(work).immediate())
    } catch (error) {
      if (!isDiskFull(error)) throw error
      throw new ServerError('not-available', 'the disk is full: this was not recorded', {
        fix: 'write it down, make room on the disk, then enter it again',
        cause: error,
      })
    }
  }

  private appendInside(fresh: NewEntry): Appended {
    const there = this.byId(fresh.id)
    if (there) return this.repeated(there, fresh)
    this.checkExpected(fresh)
    const last = this.head()
    const unhashed = {
      id: fresh.id,
      seq: last.entries + 1,
      happened_at: fresh.happened_at,
      entered_at: fresh.entered_at,
      bench: fresh.bench,
      batch: fresh.batch,
      who: fresh.who,
      why: fresh.why ?? null,
      kind: fresh.kind,
      data: ENTRY_DATA[fresh.kind].parse(fresh.data),
      prev: last.head,
    } as Unhashed
    const entry = { ...unhashed, hash: hashOf(unhashed) } as Entry
    this.insert.run({ ...entry, who: JSON.stringify(entry.who), data: JSON.stringify(entry.data) })
    return { entry, repeated: false }
  }

  private repeated(there: Entry, fresh: NewEntry): Appended {
    if (there.kind !== fresh.kind || there.batch !== fresh.batch)
      throw new ServerError('bad-request', `id ${fresh.id} already names another entry`, {
        fix: 'make a new UUIDv7 for each entry',
      })
    return { entry: there, repeated: true }
  }

  private checkExpected(fresh: NewEntry): void {
    if (fresh.expectedSeq === undefined || fresh.batch === null) return
    const newer = newerByPeople(this.ofBatch(fresh.batch), fresh.expectedSeq)
    if (newer.length > 0) throw conflictWith(newer)
  }

  /** Called for each new entry, after it is durable. */
  onAppended(listener: (entry: Entry) => void): () => void {
    this.listeners.add(listener)
    return () => this.listeners.delete(listener)
  }

  head(): { entries: number; head: string } {
    const row = this.db.prepare('SELECT seq, hash FROM entry ORDER BY seq DESC LIMIT 1').get() as
      | { seq: number; hash: string }
      | undefined
    return { entries: row?.seq ?? 0, head: row?.hash ?? GENESIS }
  }

  /** The head as it was when the ledger had this many entries; GENESIS when it never had. */
  headAt(entries: number): { entries: number; head: string } {
    const hash = this.db.prepare('SELECT hash FROM entry WHERE seq = ?').pluck().get(entries) as
      | string
      | undefined
    return { entries: hash === undefined ? 0 : entries, head: hash ?? GENESIS }
  }

  /** The earliest moment anything on record happened; null while there is no entry. */
  beginsAt(): string | null {
    return this.db.prepare('SELECT min(happened_at) FROM entry').pluck().get() as string | null
  }

  byId(id: string): Entry | undefined {
    const row = this.db.prepare('SELECT * FROM entry WHERE id = ?').get(id) as EntryRow | undefined
    return row && entryOf(row)
  }

  ofBatch(batch: string): Entry[] {
    return (this.db.prepare('SELECT * FROM entry WHERE batch = ? ORDER BY seq').all(batch) as EntryRow[]).map(
      entryOf,
    )
  }

  /** Number of a batch's newest entry; 0 where there is none. */
  newestSeqOf(batch: string): number {
    return Number(this.db.prepare('SELECT max(seq) FROM entry WHERE batch = ?').pluck().get(batch) ?? 0)
  }

  /** Ids of batches opened at a bench, newest first; at every bench without one. */
  *batchesOpenedAt(bench?: string): Generator<string> {
    const rows = this.db
      .prepare(
        "SELECT batch FROM entry WHERE kind = 'batch-opened' AND (@bench IS NULL OR bench = @bench) ORDER BY seq DESC",
      )
      .pluck()
      .all({ bench: bench ?? null })
    yield* rows as string[]
  }

  ofKind<K extends EntryKind>(kind: K, limit = 100_000): Extract<Entry, { kind: K }>[] {
    const rows = this.db
      .prepare('SELECT * FROM (SELECT * FROM entry WHERE kind = ? ORDER BY seq DESC LIMIT ?) ORDER BY seq')
      .all(kind, limit)
    return (rows as EntryRow[]).map(entryOf) as Extract<Entry, { kind: K }>[]
  }

  /** Entries of these kinds, newest first; `before` a sequence: those older than it. */
  newestOfKinds(kinds: readonly EntryKind[], limit: number, before = Number.MAX_SAFE_INTEGER): Entry[] {
    const rows = this.db
      .prepare(
        `SELECT * FROM entry WHERE kind IN (${kinds.map(() => '?').join(', ')}) AND seq < ? ORDER BY seq DESC LIMIT ?`,
      )
      .all(...kinds, before, limit)
    return (rows as EntryRow[]).map(entryOf)
  }

  /** Entered at a paired display and not signed by anybody since, in order. */
  unsigned(): Entry[] {
    const rows = this.db
      .prepare(
        `SELECT * FROM entry WHERE json_extract(who, '$.how') = 'unsigned' AND id NOT IN
           (SELECT json_extract(data, '$.entry') FROM entry WHERE kind = 'signed') ORDER BY seq`,
      )
      .all()
    return (rows as EntryRow[]).map(entryOf)
  }

  /** Entries after a number, in order. */
  after(seq: number, limit: number): Entry[] {
    const rows = this.db.prepare('SELECT * FROM entry WHERE seq > ? ORDER BY seq LIMIT ?').all(seq, limit)
    return (rows as EntryRow[]).map(entryOf)
  }

  *all(): Generator<Entry> {
    for (const row of this.db.prepare('SELECT * FROM entry ORDER BY seq').iterate())
      yield entryOf(row as EntryRow)
  }

  /** The newest daemon event already turned into an entry. */
  daemonEventSeen(): number {
    return Number(this.db.prepare('SELECT coalesce(max(event), 0) FROM daemon_seen').pluck().get())
  }

  private markDaemonEventSeen(event: number): void {
    this.db
      .prepare(
        'INSERT INTO daemon_seen (one, event) VALUES (1, ?) ON CONFLICT (one) DO UPDATE SET event = excluded.event',
      )
      .run(event)
  }

  close(): void {
    this.db.close()
  }
}

const entryOf = (row: EntryRow): Entry =>
  ({ ...row, who: JSON.parse(row.who), data: JSON.parse(row.data) }) as Entry
