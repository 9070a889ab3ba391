import { existsSync } from 'node:fs'
import { join } from 'node:path'
import type { Database } from 'better-sqlite3'
import { type FileKind, openFile } from '../../ingest/store/open-file.ts'
import { Persons } from './person.ts'

export const peopleFile = (home: string): string => join(home, 'people.db')

/**
 * People, sessions, one-time links and paired displays. Hashes live here and never in the record, which may be mirrored to
 * another place. Nobody is ever deleted: names stand in the record.
 */
const MIGRATIONS: readonly string[] = [
  `
  CREATE TABLE person (
    id TEXT PRIMARY KEY, name TEXT NOT NULL, name_key TEXT NOT NULL UNIQUE,
    role TEXT NOT NULL CHECK (role IN ('viewer', 'operator', 'reviewer', 'administrator')),
    active INTEGER NOT NULL, password TEXT, pin TEXT
  );
  CREATE TRIGGER person_kept BEFORE DELETE ON person BEGIN SELECT raise(ABORT, 'people are never deleted'); END;
  CREATE TABLE display (
    id TEXT PRIMARY KEY, name TEXT NOT NULL, token TEXT NOT NULL UNIQUE,
    paired_ms INTEGER NOT NULL, paired_by TEXT NOT NULL, revoked_ms INTEGER
  );
  CREATE TABLE session (
    token TEXT PRIMARY KEY, person TEXT NOT NULL REFERENCES person (id),
    how TEXT NOT NULL CHECK (how IN ('password', 'pin')), display TEXT REFERENCES display (id),
    began_ms INTEGER NOT NULL, active_ms INTEGER NOT NULL
  );
  CREATE INDEX session_person ON session (person);
  CREATE TABLE link (
    token TEXT PRIMARY KEY, person TEXT REFERENCES person (id), until_ms INTEGER NOT NULL
  );
  `,
]

/** Can anybody sign in to this home? Asked before the parts start. */
export const isSetUpIn = (home: string, kind: FileKind): boolean => {
  if (!existsSync(peopleFile(home))) return false
  const db = openPeopleFile(home, kind)
  try {
    return new Persons(db).hasAdministrator()
  } finally {
    db.close()
  }
}

export const openPeopleFile = (home: string, kind: FileKind): Database =>
  openFile({ path: peopleFile(home), kind, steps: MIGRATIONS, writes: true })
