import { join } from 'node:path'
import type { Database } from 'better-sqlite3'
import { type FileKind, openFile } from '../../ingest/store/open-file.ts'
import { reserveSpace, writeOnFullDisk } from '../ledger/reserve.ts'
import type { Delivery, NewDelivery, Told } from './delivery.ts'

export const deliveryFile = (home: string): string => join(home, 'delivery.db')

const MIGRATIONS: readonly string[] = [
  `
  CREATE TABLE position (one INTEGER PRIMARY KEY CHECK (one = 1), seq INTEGER NOT NULL, entry TEXT NOT NULL);
  CREATE TABLE standing (key TEXT PRIMARY KEY, raised_by TEXT NOT NULL, told TEXT NOT NULL);
  CREATE TABLE delivery (
    n INTEGER PRIMARY KEY AUTOINCREMENT, id TEXT NOT NULL UNIQUE, raised_by TEXT NOT NULL,
    receiver TEXT NOT NULL, what TEXT NOT NULL, key TEXT NOT NULL, told TEXT NOT NULL,
    created_ms INTEGER NOT NULL, first_due_ms INTEGER NOT NULL, due_ms INTEGER NOT NULL,
    state TEXT NOT NULL, tries INTEGER NOT NULL, tried_ms INTEGER, done_ms INTEGER, words TEXT
  );
  CREATE INDEX delivery_state ON delivery (state, receiver, n);
  CREATE INDEX delivery_raise ON delivery (raised_by);
  CREATE INDEX delivery_key ON delivery (key, receiver, n);
  `,
]

/** Finished ones beyond this many are forgotten; the alarms themselves stay in the record. */
const MOST_KEPT = 20_000

export interface Standing {
  readonly raise: string
  readonly told: Told
}

interface Row extends Omit<Delivery, 'told'> {
  readonly told: string
}

const COLUMNS = `n, id, raised_by AS raise, receiver, what, told, created_ms AS createdMs, first_due_ms AS firstDueMs, due_ms AS dueMs,
  state, tries, tried_ms AS triedMs, done_ms AS doneMs, words`

/**
 * Every message to every receiver, in a file of its own with full sync. What is to be told is written down, with how far
 * the record was read, before anything is sent; what was sent, after the answer: a message may come twice after a crash,
 * with the same id, and never not at all. Room is kept for a full disk.
 */
export class DeliveryFile {
  readonly db: Database

  constructor(path: string, kind: FileKind) {
    this.db = openFile({ path, kind, writes: true, steps: MIGRATIONS })
    reserveSpace(this.db)
  }

  /** The entry of the record up to which everything was taken; undefined at the very first start. */
  position(): { readonly seq: number; readonly entry: string } | undefined {
    return this.db.prepare('SELECT seq, entry FROM position').get() as
      | { seq: number; entry: string }
      | undefined
  }

  /** What `work` writes and the new position, both or neither. */
  advance(seq: number, entry: string, work: () => void): void {
    const put = this.db.prepare(
      `INSERT INTO position (one, seq, entry) VALUES (1, ?, ?)
       ON CONFLICT (one) DO UPDATE SET seq = excluded.seq, entry = excluded.entry`,
    )
    this.write(() => {
      work()
      put.run(seq, entry)
    })
  }

  standing(key: string): Standing | undefined {
    const row = this.db.prepare('SELECT raised_by AS raise, told FROM standing WHERE key = ?').get(key) as
      | { raise: string; told: string }
      | undefined
    return row && { raise: row.raise, told: JSON.parse(row.told) as Told }
  }

  stand({ raise, told }: Standing): void {
    this.db
      .prepare(
        `INSERT INTO standing (key, raised_by, told) VALUES (?, ?, ?)
         ON CONFLICT (key) DO UPDATE SET raised_by = excluded.raised_by, told = excluded.told`,
      )
      .run(told.key, raise, JSON.stringify(told))
  }

  noLongerStanding(key: string): void {
    this.db.prepare('DELETE FROM standing WHERE key = ?').run(key)
  }

  /** One that is there already stays as it is. */
  add({ told, ...fresh }: NewDelivery): void {
    this.db
      .prepare(
        `INSERT OR IGNORE INTO delivery
           (id, raised_by, receiver, what, key, told, created_ms, first_due_ms, due_ms, state, tries)
         VALUES (@id, @raise, @receiver, @what, @key, @told, @createdMs, @dueMs, @dueMs, 'waiting', 0)`,
      )
      .run({ ...fresh, key: told.key, told: JSON.stringify(told) })
  }

  ofRaise(raise: string): Delivery[] {
    return this.list('raised_by = ? ORDER BY n', raise)
  }

  /** When the alarm was last to be told to somebody as raised, ms; those that were not needed do not count. */
  lastRaisedMs(key: string, receiver: string): number | null {
    return this.db
      .prepare(
        `SELECT max(first_due_ms) FROM delivery
         WHERE key = ? AND receiver = ? AND what IN ('raised', 'raised-again') AND state <> 'not-needed'`,
      )
      .pluck()
      .get(key, receiver) as number | null
  }

  waiting(): Delivery[] {
    return this.list("state = 'waiting' ORDER BY n")
  }

  /** What is to go out now to some receivers, in the order in which it was to be told. */
  due(receivers: readonly string[], nowMs: number): Delivery[] {
    if (receivers.length === 0) return []
    return this.list(
      `state = 'waiting' AND due_ms <= ? AND receiver IN (${receivers.map(() => '?').join(', ')}) ORDER BY n LIMIT 50`,
      nowMs,
      ...receivers,
    )
  }

  /** Newest first. */
  newest(limit: number): Delivery[] {
    return this.list('1 ORDER BY n DESC LIMIT ?', limit)
  }

  /** What each receiver last gave an answer to, that was final. */
  lastFinal(receiver: string, exceptAlarm: string): Delivery | undefined {
    return this.list(
      `receiver = ? AND state IN ('delivered', 'refused', 'gave-up') AND key <> ? ORDER BY done_ms DESC, n DESC LIMIT 1`,
      receiver,
      exceptAlarm,
    )[0]
  }

  lastDeliveredMs(receiver: string): number | null {
    return this.db
      .prepare("SELECT max(done_ms) FROM delivery WHERE receiver = ? AND state = 'delivered'")
      .pluck()
      .get(receiver) as number | null
  }

  isDelivered(raise: string, receiver: string): boolean {
    return this.ofRaise(raise).some(
      (d) => d.receiver === receiver && d.what !== 'returned' && d.state === 'delivered',
    )
  }

  /** Not final: it comes again. `dueMs` says from when on. */
  tried(n: number, nowMs: number, dueMs: number, words: string): void {
    this.write(() =>
      this.db
        .prepare('UPDATE delivery SET tries = tries + 1, tried_ms = ?, due_ms = ?, words = ? WHERE n = ?')
        .run(nowMs, dueMs, words, n),
    )
  }

  finished(n: number, state: 'delivered' | 'refused' | 'gave-up', nowMs: number, words: string | null): void {
    this.write(() => {
      this.db
        .prepare(
          'UPDATE delivery SET tries = tries + 1, tried_ms = @nowMs, done_ms = @nowMs, state = @state, words = @words WHERE n = @n',
        )
        .run({ n, state, nowMs, words })
      this.forgetOldest()
    })
  }

  /** Untried, or no longer worth a try. */
  dismiss(n: number, nowMs: number, words: string): void {
    this.db
      .prepare(
        "UPDATE delivery SET state = 'not-needed', done_ms = ?, words = ? WHERE n = ? AND state = 'waiting'",
      )
      .run(nowMs, words, n)
  }

  /** What is known by now goes into what waits. */
  retell(n: number, told: Told): void {
    this.db.prepare('UPDATE delivery SET told = ? WHERE n = ?').run(JSON.stringify(told), n)
  }

  /** The wall clock was set back: what waits keeps its distance. */
  shift(byMs: number): void {
    this.write(() =>
      this.db
        .prepare(
          "UPDATE delivery SET due_ms = due_ms + @byMs, first_due_ms = first_due_ms + @byMs WHERE state = 'waiting'",
        )
        .run({ byMs }),
    )
  }

  write<T>(work: () => T): T {
    return writeOnFullDisk(this.db, () => this.db.transaction(work).immediate())
  }

  close(): void {
    this.db.close()
  }

  private forgetOldest(): void {
    this.db
      .prepare(
        `DELETE FROM delivery WHERE state <> 'waiting' AND n <= (SELECT max(n) FROM delivery) - ${MOST_KEPT}`,
      )
      .run()
  }

  private list(where: string, ...values: (string | number)[]): Delivery[] {
    const rows = this.db.prepare(`SELECT ${COLUMNS} FROM delivery WHERE ${where}`).all(...values) as Row[]
    return rows.map((row) => ({ ...row, told: JSON.parse(row.told) as Told }))
  }
}
