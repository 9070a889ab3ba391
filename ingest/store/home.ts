import { existsSync, mkdirSync } from 'node:fs'
import { join } from 'node:path'
import Database from 'better-sqlite3'
import { IngestError, messageOf } from '../errors.ts'

export const readingsFile = (home: string): string => join(home, 'readings.db')

/**
 * One daemon, one server, one supervisor per home. The lock is an exclusive transaction on a small database
 * file: the operating system lets go of it when the process ends, however it ends.
 */
export const claimHome = (
  home: string,
  part: 'daemon' | 'server' | 'supervisor' | 'forwarder' | 'mirror',
): (() => void) => {
  if (!existsSync(home)) mkdirSync(home, { recursive: true, mode: 0o700 })
  const lock = new Database(join(home, `.${part}.lock`), { timeout: 0 })
  try {
    // a journal in a file would need room, which a full disk has not
    lock.pragma('journal_mode = MEMORY')
    lock.pragma('locking_mode = EXCLUSIVE')
    lock.exec('BEGIN EXCLUSIVE')
  } catch (error) {
    lock.close()
    if (!(error instanceof Database.SqliteError && error.code.startsWith('SQLITE_BUSY')))
      throw new IngestError('store-failed', `${home} cannot be used: ${messageOf(error)}`, { home }, error)
    throw new IngestError(
      'home-in-use',
      `${home} is already in use by another ${part}: stop that one first, or set SPARGEWATCH_HOME to another folder`,
      { home, part },
      error,
    )
  }
  return () => lock.close()
}
