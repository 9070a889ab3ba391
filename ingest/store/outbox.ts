import { existsSync } from 'node:fs'
import { join } from 'node:path'
import type { Database } from 'better-sqlite3'
import SqliteDatabase from 'better-sqlite3'
import type { TimeUs } from '../units.ts'
import { type FileKind, openFile } from './open-file.ts'

/** How far the readings are. */
export const outboxFile = (home: string): string => join(home, 'forward.db')
/** How far the entries of the record are. */
export const recordOutboxFile = (home: string): string => join(home, 'mirror.db')

/** Schema of both: how far one other place has them. Forward only. */
const OUTBOX_MIGRATIONS: readonly string[] = [
  `
  CREATE TABLE sent (
    id INTEGER PRIMARY KEY CHECK (id = 1), place TEXT NOT NULL,
    seq INTEGER NOT NULL, time_us INTEGER NOT NULL, note_us INTEGER NOT NULL
  );
  CREATE TABLE refused (
    seq INTEGER PRIMARY KEY, series TEXT NOT NULL, time_us INTEGER NOT NULL, at_us INTEGER NOT NULL, words TEXT NOT NULL
  );
  CREATE TABLE status (id INTEGER PRIMARY KEY CHECK (id = 1), detail TEXT NOT NULL);
  CREATE TABLE copied (
    series TEXT NOT NULL, day INTEGER NOT NULL, count INTEGER NOT NULL, checksum TEXT NOT NULL, PRIMARY KEY (series, day)
  );
  `,
]

/** Last reading or entry that the other place has, and the time of the last delivery note, which only ever grows. */
export interface Sent {
  readonly seq: number
  readonly timeUs: TimeUs
  readonly noteUs: TimeUs
}

/** Something that the server will not take: a reading, or an entry of the record. It stays in the local file. */
export interface RefusedItem {
  readonly seq: number
  /** Of a reading its series, of an entry its kind. */
  readonly series: string
  readonly timeUs: TimeUs
  readonly words: string
}

export interface RefusedRow extends RefusedItem {
  readonly atUs: TimeUs
}

/** What the forwarder is doing, rewritten in place every second. */
export interface ForwardStatus {
  readonly timeUs: TimeUs
  readonly place: string
  readonly version: 1 | 2 | 3
  readonly state: 'sending' | 'up-to-date' | 'waiting' | 'not-let-in' | 'stopped'
  readonly why: string | null
  /** Readings stored here that the other place has not acknowledged. */
  readonly waiting: number
  /** Time of the oldest of them. */
  readonly oldestUs: TimeUs | null
  readonly seq: number
}

export interface ForwardReport extends ForwardStatus {
  readonly refused: number
  readonly lastRefused: readonly RefusedRow[]
  /** When the newest of them was refused. */
  readonly lastRefusedUs: TimeUs | null
}

const LAST_REFUSED = 5
const NOTHING: Sent = { seq: 0, timeUs: 0 as TimeUs, noteUs: 0 as TimeUs }

/**
 * A sender's memory, in a file of its own with full sync: the files it reads are written by others. An
 * acknowledgement for one place says nothing of another, so a new place begins at the beginning.
 */
export class Outbox {
  readonly db: Database

  constructor(path: string, kind: FileKind) {
    this.db = openFile({ path, kind, writes: true, steps: OUTBOX_MIGRATIONS })
  }

  sent(place: string): Sent {
    const row = this.db
      .prepare('SELECT seq, time_us AS timeUs, note_us AS noteUs FROM sent WHERE place = ?')
      .get(place)
    return (row as Sent | undefined) ?? NOTHING
  }

  /** Called only after the acknowledgement. One transaction: the refused ones are listed or the batch comes again. */
  advance(place: string, to: Sent, refused: readonly RefusedItem[], atUs: TimeUs): void {
    const go = this.db.prepare(
      `INSERT INTO sent (id, place, seq, time_us, note_us) VALUES (1, @place, @seq, @timeUs, @noteUs)
       ON CONFLICT (id) DO UPDATE SET place = excluded.place, seq = excluded.seq, time_us = excluded.time_us,
         note_us = excluded.note_us`,
    )
    this.db
      .transaction(() => {
        this.list(refused, atUs)
        go.run({ place, ...to })
      })
      .immediate()
  }

  refuse(refused: readonly RefusedItem[], atUs: TimeUs): void {
    this.db.transaction(() => this.list(refused, atUs)).immediate()
  }

  private list(refused: readonly RefusedItem[], atUs: TimeUs): void {
    const add = this.db.prepare(
      `INSERT INTO refused (seq, series, time_us, at_us, words) VALUES (?, ?, ?, ?, ?)
       ON CONFLICT (seq) DO UPDATE SET series = excluded.series, time_us = excluded.time_us,
         at_us = excluded.at_us, words = excluded.words`,
    )
    for (const { seq, series, timeUs, words } of refused) add.run(seq, series, timeUs, atUs, words)
  }

  /** The other place, or the local file, is not the one it was: what was acknowledged or refused says nothing now. */
  beginAgain(place: string, noteUs: TimeUs): void {
    this.db
      .transaction(() => {
        this.db.exec('DELETE FROM sent; DELETE FROM refused; DELETE FROM copied')
        this.db
          .prepare('INSERT INTO sent (id, place, seq, time_us, note_us) VALUES (1, ?, 0, 0, ?)')
          .run(place, noteUs)
      })
      .immediate()
  }

  /** For which place the memory is; undefined when there is none yet. */
  place(): string | undefined {
    return this.db.prepare('SELECT place FROM sent').pluck().get() as string | undefined
  }

  /** No longer refused: they are there. */
  accepted(seqs: readonly number[]): void {
    const strike = this.db.prepare('DELETE FROM refused WHERE seq = ?')
    this.db.transaction(() => seqs.forEach((seq) => void strike.run(seq))).immediate()
  }

  report(status: ForwardStatus): void {
    this.db
      .prepare(
        'INSERT INTO status (id, detail) VALUES (1, ?) ON CONFLICT (id) DO UPDATE SET detail = excluded.detail',
      )
      .run(JSON.stringify(status))
  }

  isCopied(series: string, day: number, count: number, checksum: string): boolean {
    const found = this.db
      .prepare('SELECT count(*) FROM copied WHERE series = ? AND day = ? AND count = ? AND checksum = ?')
      .pluck()
      .get(series, day, count, checksum)
    return found === 1
  }

  copied(series: string, day: number, count: number, checksum: string): void {
    this.db
      .prepare(
        `INSERT INTO copied (series, day, count, checksum) VALUES (?, ?, ?, ?)
         ON CONFLICT (series, day) DO UPDATE SET count = excluded.count, checksum = excluded.checksum`,
      )
      .run(series, day, count, checksum)
  }

  /** After a whole run: the next one compares everything anew. */
  forgetCopied(): void {
    this.db.exec('DELETE FROM copied')
  }

  refused(limit: number, beforeSeq?: number): RefusedRow[] {
    return refusedOf(this.db, limit, beforeSeq)
  }

  close(): void {
    this.db.close()
  }
}

/** What the forwarder last said of itself, for another process; null when it has never run here. */
export const readForwardReport = (home: string): ForwardReport | null => readReport(outboxFile(home))

/** The same of the mirror of the record. */
export const readMirrorReport = (home: string): ForwardReport | null => readReport(recordOutboxFile(home))

const readReport = (path: string): ForwardReport | null =>
  readOutbox(path, (db) => {
    const detail = db.prepare('SELECT detail FROM status').pluck().get() as string | undefined
    if (detail === undefined) return null
    return {
      ...(JSON.parse(detail) as ForwardStatus),
      refused: countRefused(db),
      lastRefused: refusedOf(db, LAST_REFUSED),
      lastRefusedUs: db.prepare('SELECT max(at_us) FROM refused').pluck().get() as TimeUs | null,
    }
  })

export interface RefusedPage {
  readonly count: number
  readonly rows: readonly RefusedRow[]
}

/** Readings that were refused, newest first; further pages begin before a reading of the one at hand. */
export const readRefused = (home: string, limit: number, beforeSeq?: number): RefusedPage =>
  readOutbox(outboxFile(home), (db) => ({
    count: countRefused(db),
    rows: refusedOf(db, limit, beforeSeq),
  })) ?? {
    count: 0,
    rows: [],
  }

const readOutbox = <T>(path: string, read: (db: Database) => T): T | null => {
  if (!existsSync(path)) return null
  const db = new SqliteDatabase(path, { readonly: true, fileMustExist: true })
  try {
    return read(db)
  } finally {
    db.close()
  }
}

const countRefused = (db: Database): number =>
  Number(db.prepare('SELECT count(*) FROM refused').pluck().get())

const refusedOf = (db: Database, limit: number, beforeSeq = Number.MAX_SAFE_INTEGER): RefusedRow[] =>
  db
    .prepare(
      'SELECT seq, series, time_us AS timeUs, at_us AS atUs, words FROM refused WHERE seq < ? ORDER BY seq DESC LIMIT ?',
    )
    .all(beforeSeq, limit) as RefusedRow[]
