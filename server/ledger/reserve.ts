import type { Database } from 'better-sqlite3'

/** Room for more than a thousand entries. Engineering judgement: a day's work of a busy clinic on a full disk. */
const RESERVE_BYTES = 1024 * 1024

/**
 * Takes disk space for the ledger while there is some, so that an ozone-off can still be recorded when there is
 * none left. A table of this size is written, carried over into the file and dropped: its pages stay in the file
 * as free ones, and the write-ahead log keeps the length it had. Says whether the space was there.
 */
export const reserveSpace = (db: Database): boolean => {
  try {
    db.exec('DROP TABLE IF EXISTS ballast')
    db.transaction(() => {
      db.exec('CREATE TABLE ballast (bytes BLOB NOT NULL)')
      db.prepare('INSERT INTO ballast (bytes) VALUES (zeroblob(?))').run(RESERVE_BYTES)
    }).immediate()
    db.pragma('wal_checkpoint(RESTART)')
    db.exec('DROP TABLE ballast')
    return true
  } catch (error) {
    if (isDiskFull(error)) return false
    throw error
  }
}

/**
 * Runs a write; on a full disk once more after the write-ahead log was carried over into the file and begins
 * anew, which needs no new space.
 */
export const writeOnFullDisk = <T>(db: Database, write: () => T): T => {
  try {
    return write()
  } catch (error) {
    if (!isDiskFull(error)) throw error
    db.pragma('wal_checkpoint(RESTART)')
    return write()
  }
}

export const isDiskFull = (error: unknown): boolean =>
  error instanceof Error && 'code' in error && error.code === 'SQLITE_FULL'
