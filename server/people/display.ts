import type { Database } from 'better-sqlite3'
import { ServerError } from '../errors.ts'
import { hashToken, isToken, newToken } from './token.ts'

/** A shared screen, paired once: it shows everything for as long as it stays paired, and acts for nobody. */
export interface Display {
  readonly id: string
  readonly name: string
  readonly pairedMs: number
  readonly pairedBy: string
  readonly revokedMs: number | null
}

interface Row {
  id: string
  name: string
  paired_ms: number
  paired_by: string
  revoked_ms: number | null
}

export class Displays {
  private readonly db: Database

  constructor(db: Database) {
    this.db = db
  }

  /** The token; only its hash is kept. Throws `conflict` for a name that a paired display has. */
  pair(id: string, name: string, by: string, nowMs: number): string {
    if (this.all().some((d) => d.revokedMs === null && d.name.toLowerCase() === name.toLowerCase()))
      throw new ServerError('conflict', `a display called ${name} is paired already`, {
        fix: 'revoke that one first, or take another name',
      })
    const token = newToken()
    this.db
      .prepare('INSERT INTO display (id, name, token, paired_ms, paired_by) VALUES (?, ?, ?, ?, ?)')
      .run(id, name, hashToken(token), nowMs, by)
    return token
  }

  /** Undefined for one that is unknown or was revoked. */
  of(token: string | undefined): Display | undefined {
    if (!isToken(token)) return undefined
    const row = this.db
      .prepare('SELECT * FROM display WHERE token = ? AND revoked_ms IS NULL')
      .get(hashToken(token))
    return row === undefined ? undefined : displayOf(row as Row)
  }

  all(): Display[] {
    return (this.db.prepare('SELECT * FROM display ORDER BY paired_ms').all() as Row[]).map(displayOf)
  }

  /** Throws `not-found`; one revoked already stays as it is. */
  revoke(id: string, nowMs: number): Display {
    const display = this.all().find((d) => d.id === id)
    if (!display)
      throw new ServerError('not-found', `there is no display ${id}`, { fix: 'see /api/displays' })
    this.db.prepare('UPDATE display SET revoked_ms = ? WHERE id = ? AND revoked_ms IS NULL').run(nowMs, id)
    return display
  }
}

const displayOf = (row: Row): Display => ({
  id: row.id,
  name: row.name,
  pairedMs: row.paired_ms,
  pairedBy: row.paired_by,
  revokedMs: row.revoked_ms,
})
