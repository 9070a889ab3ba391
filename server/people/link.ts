import type { Database } from 'better-sqlite3'
import { hashToken, isToken, newToken } from './token.ts'

/** Of the link that makes the first administrator and of one that replaces a lost password, ms. */
export const LINK_MS = 3600_000
/** Of a link that an administrator hands to somebody, ms. */
export const INVITATION_MS = 24 * 3600_000

/** One-time links: whoever opens one sets a password. `person` null: becomes the first administrator. */
export class Links {
  private readonly db: Database
  private readonly nowMs: () => number

  constructor(db: Database, nowMs: () => number) {
    this.db = db
    this.nowMs = nowMs
  }

  /** Replaces links made earlier for the same purpose: one is good at a time. */
  make(person: string | null, validMs: number): { readonly token: string; readonly untilMs: number } {
    const token = newToken()
    const untilMs = this.nowMs() + validMs
    this.db
      .transaction(() => {
        this.db.prepare('DELETE FROM link WHERE person IS ?').run(person)
        this.db
          .prepare('INSERT INTO link (token, person, until_ms) VALUES (?, ?, ?)')
          .run(hashToken(token), person, untilMs)
      })
      .immediate()
    return { token, untilMs }
  }

  /** Undefined for a link that is unknown, used or over. */
  of(token: string): { readonly person: string | null } | undefined {
    if (!isToken(token)) return undefined
    const row = this.db
      .prepare('SELECT person FROM link WHERE token = ? AND until_ms > ?')
      .get(hashToken(token), this.nowMs())
    return row as { person: string | null } | undefined
  }

  /** Takes it away; false when somebody else was faster. */
  use(token: string): boolean {
    return this.db.prepare('DELETE FROM link WHERE token = ?').run(hashToken(token)).changes === 1
  }
}
