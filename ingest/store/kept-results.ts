import { existsSync } from 'node:fs'
import { join } from 'node:path'
import type { Database } from 'better-sqlite3'
import SqliteDatabase from 'better-sqlite3'
import type { TimeUs } from '../units.ts'
import { type FileKind, openFile } from './open-file.ts'

export const resultsFile = (home: string): string => join(home, 'results.db')

/** Schema of `results.db`: what was worked out from readings that retention may take. Forward only. */
const RESULTS_MIGRATIONS: readonly string[] = [
  `
  CREATE TABLE result (
    id INTEGER PRIMARY KEY, batch TEXT NOT NULL, key TEXT NOT NULL, entry TEXT NOT NULL UNIQUE,
    ledger_entries INTEGER NOT NULL, document TEXT NOT NULL, UNIQUE (batch, key)
  );
  CREATE TRIGGER result_kept BEFORE DELETE ON result BEGIN SELECT raise(ABORT, 'results are never deleted'); END;
  CREATE TRIGGER result_fixed BEFORE UPDATE ON result BEGIN SELECT raise(ABORT, 'results are never changed'); END;
  CREATE TABLE kept (one INTEGER PRIMARY KEY CHECK (one = 1), before_us INTEGER NOT NULL);
  `,
]

/** Results of one batch as they stood when they were kept. */
export interface KeptResult {
  readonly batch: string
  /** Of what they were worked out from: another key, other results. */
  readonly key: string
  /** Entry of the record that holds the document's hash. */
  readonly entry: string
  /** Entries the record had. */
  readonly ledgerEntries: number
  /** JSON, as it was hashed. */
  readonly document: string
}

/**
 * Results of batches, append-only, in a file that the server alone writes. The daemon reads the mark and removes no raw
 * reading after it: what was to be worked out from older ones is kept here.
 */
export class KeptResults {
  readonly db: Database

  constructor(path: string, kind: FileKind, writes = true) {
    this.db = openFile({ path, kind, writes, steps: RESULTS_MIGRATIONS })
  }

  put(result: KeptResult): void {
    this.db
      .prepare(
        `INSERT INTO result (batch, key, entry, ledger_entries, document)
         VALUES (@batch, @key, @entry, @ledgerEntries, @document)`,
      )
      .run(result)
  }

  find(batch: string, key: string): KeptResult | undefined {
    return this.db.prepare(`${COLUMNS} WHERE batch = ? AND key = ?`).get(batch, key) as KeptResult | undefined
  }

  /** Of those kept when the record had at most so many entries. */
  newest(batch: string, ledgerEntries: number): KeptResult | undefined {
    return this.db
      .prepare(`${COLUMNS} WHERE batch = ? AND ledger_entries <= ? ORDER BY id DESC LIMIT 1`)
      .get(batch, ledgerEntries) as KeptResult | undefined
  }

  /** Everything worked out from readings before this moment is kept. */
  mark(beforeUs: TimeUs): void {
    this.db
      .prepare(
        `INSERT INTO kept (one, before_us) VALUES (1, ?)
         ON CONFLICT (one) DO UPDATE SET before_us = excluded.before_us`,
      )
      .run(beforeUs)
  }

  close(): void {
    this.db.close()
  }
}

const COLUMNS = 'SELECT batch, key, entry, ledger_entries AS ledgerEntries, document FROM result'

/**
 * Up to when raw readings may be removed, as far as results go. Where people have entered nothing (no `ledger.db`) there is no
 * batch; where they have and nothing is marked yet, nothing may.
 */
export const resultsKeptBefore = (home: string): TimeUs => {
  if (!existsSync(join(home, 'ledger.db'))) return Number.MAX_SAFE_INTEGER as TimeUs
  if (!existsSync(resultsFile(home))) return 0 as TimeUs
  const db = new SqliteDatabase(resultsFile(home), { readonly: true, fileMustExist: true })
  try {
    return Number(db.prepare('SELECT before_us FROM kept').pluck().get() ?? 0) as TimeUs
  } finally {
    db.close()
  }
}
