import { join } from 'node:path'
import type { Database } from 'better-sqlite3'
import { type FileKind, openFile } from '../../ingest/store/open-file.ts'
import type { BatchCurves } from './batch-curves.ts'
import type { BatchFacts } from './batch-facts.ts'

/** What trials need of a finished batch, so that a trial of hundreds opens without working them all out again. */
export interface KeptFacts {
  facts(batch: string, key: string): BatchFacts | undefined
  curves(batch: string, key: string): BatchCurves | undefined
  put(batch: string, key: string, facts: BatchFacts, curves: BatchCurves): void
  close(): void
}

/** Forward only. Nothing here is the truth: the file may be deleted, then everything is worked out again. */
const MIGRATIONS: readonly string[] = [
  'CREATE TABLE batch (id TEXT PRIMARY KEY, key TEXT NOT NULL, facts TEXT NOT NULL, curves TEXT NOT NULL) STRICT;',
]

/** In the home's `trial-facts.db`; where that cannot be opened, in memory. */
export const openKeptFacts = (
  home: string,
  kind: FileKind,
  onTrouble: (error: unknown) => void,
): KeptFacts => {
  try {
    return inFile(
      openFile({ path: join(home, 'trial-facts.db'), kind, steps: MIGRATIONS, writes: true }),
      onTrouble,
    )
  } catch (error) {
    onTrouble(error)
    return inMemory()
  }
}

const inFile = (db: Database, onTrouble: (error: unknown) => void): KeptFacts => {
  const of = <T>(column: 'facts' | 'curves', batch: string, key: string): T | undefined => {
    const found = db.prepare(`SELECT ${column} FROM batch WHERE id = ? AND key = ?`).pluck().get(batch, key)
    return typeof found === 'string' ? (JSON.parse(found) as T) : undefined
  }
  return {
    facts: (batch, key) => of('facts', batch, key),
    curves: (batch, key) => of('curves', batch, key),
    put(batch, key, facts, curves) {
      try {
        db.prepare('INSERT OR REPLACE INTO batch (id, key, facts, curves) VALUES (?, ?, ?, ?)').run(
          ...[batch, key, JSON.stringify(facts), JSON.stringify(curves)],
        )
      } catch (error) {
        // a full disk costs the next start its head start, nothing else
        onTrouble(error)
      }
    },
    close: () => void db.close(),
  }
}

interface Kept {
  readonly key: string
  readonly facts: BatchFacts
  readonly curves: BatchCurves
}

/** For a home that cannot be written to. */
export const inMemory = (): KeptFacts => {
  const kept = new Map<string, Kept>()
  const of = (batch: string, key: string) => {
    const found = kept.get(batch)
    return found?.key === key ? found : undefined
  }
  return {
    facts: (batch, key) => of(batch, key)?.facts,
    curves: (batch, key) => of(batch, key)?.curves,
    put: (batch, key, facts, curves) => void kept.set(batch, { key, facts, curves }),
    close: () => kept.clear(),
  }
}
