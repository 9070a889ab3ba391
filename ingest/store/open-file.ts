import { chmodSync, existsSync, mkdirSync } from 'node:fs'
import { dirname } from 'node:path'
import Database from 'better-sqlite3'
import { IngestError, messageOf } from '../errors.ts'
import { migrate } from './migrations.ts'

export type FileKind = 'real' | 'simulated'

export interface OpenFile {
  readonly path: string
  readonly kind: FileKind
  readonly steps: readonly string[]
  /** False: this connection is never used to write (it can then watch `data_version` for the others' commits). */
  readonly writes: boolean
}

const BUSY_TIMEOUT_MS = 5000
const FULL = 2
/** `application_id` in the file header: 'SpgR' for real data, 'SpgS' for simulated; tells the two apart for ever. */
const APPLICATION_ID: Readonly<Record<FileKind, number>> = { real: 0x53706752, simulated: 0x53706753 }

/**
 * Opens one of the program's SQLite files, new or old, and brings it to the newest schema.
 * Write-ahead log with `synchronous=FULL`: the driver runs NORMAL after the switch to WAL and on every
 * re-open, so it is set on each connection and read back; only FULL makes "committed" mean "on the disk".
 */
export const openFile = (file: OpenFile): Database.Database => {
  const isNew = !existsSync(file.path)
  if (isNew) mkdirSync(dirname(file.path), { recursive: true, mode: 0o700 })
  const db = connect(file.path)
  try {
    // first of all: a full disk may end this attempt, and the next finds a file that is no longer new
    if (isNew) chmodSync(file.path, 0o600)
    db.pragma(`busy_timeout = ${BUSY_TIMEOUT_MS}`)
    db.pragma('journal_mode = WAL')
    db.pragma('synchronous = FULL')
    db.pragma('foreign_keys = ON')
    checkDurable(db, file.path)
    claimKind(db, file)
    migrate(db, {
      steps: file.steps,
      fileName: file.path,
      backUp: (from) => backUpBefore(db, file.path, from),
    })
    if (!file.writes) db.pragma('query_only = ON')
    return db
  } catch (error) {
    db.close()
    if (error instanceof IngestError) throw error
    throw new IngestError(
      'store-failed',
      `${file.path} cannot be used as a database: ${messageOf(error)}`,
      {},
      error,
    )
  }
}

const connect = (path: string): Database.Database => {
  try {
    return new Database(path)
  } catch (error) {
    throw new IngestError('store-failed', `${path} cannot be opened: ${messageOf(error)}`, { path }, error)
  }
}

const checkDurable = (db: Database.Database, path: string): void => {
  const level = Number(db.pragma('synchronous', { simple: true }))
  const mode = String(db.pragma('journal_mode', { simple: true }))
  if (level === FULL && mode === 'wal') return
  throw new IngestError(
    'store-not-durable',
    `${path} needs a write-ahead log with full sync, got journal ${mode}, sync ${level}: put it on a local disk`,
    { level, mode },
  )
}

/** A simulated file never opens as a real one, nor the reverse. */
const claimKind = (db: Database.Database, file: OpenFile): void => {
  const found = Number(db.pragma('application_id', { simple: true }))
  if (found === APPLICATION_ID[file.kind]) return
  const isEmpty = db.prepare('SELECT count(*) AS n FROM sqlite_master').pluck().get() === 0
  if (found === 0 && isEmpty) {
    db.pragma(`application_id = ${APPLICATION_ID[file.kind]}`)
    return
  }
  throw new IngestError(
    'store-other-kind',
    `${file.path} needs to hold ${file.kind} data, got a file of another kind: simulated and real data never mix; choose another SPARGEWATCH_HOME`,
    { found },
  )
}

const backUpBefore = (db: Database.Database, path: string, fromVersion: number): void => {
  const copy = `${path}.before-schema-${fromVersion + 1}`
  if (!existsSync(copy)) db.prepare('VACUUM INTO ?').run(copy)
}
