import type { Database } from 'better-sqlite3'
import { type Person, Persons } from './person.ts'
import { lesser, type Role } from './role.ts'
import { hashToken, isToken, newToken } from './token.ts'

/** Signed in for this long at most, ms. */
export const LONGEST_MS = 12 * 3600_000
/** Without a sign of the person for this long, they may look on and no longer act (password) or are no longer there (PIN). */
export const IDLE_MS = { password: 30 * 60_000, pin: 10 * 60_000 } as const
/** A clock set back further than this ends a session: it could otherwise be made to last. */
const CLOCK_BACK_MS = 60_000
/** Signs of the person are written down this often at most. */
const WRITE_EVERY_MS = 15_000

export type How = keyof typeof IDLE_MS

export interface Session {
  /** Hash of its token: names it without being able to use it. */
  readonly id: string
  readonly person: Person
  readonly how: How
  /** The paired display it was begun at. */
  readonly display: string | null
  /** What the person may do now: less than their role with a PIN, at most look on when idle. */
  readonly role: Role
  readonly idle: boolean
  readonly actsUntilMs: number
  readonly endsMs: number
}

interface Row {
  token: string
  person: string
  how: How
  display: string | null
  began_ms: number
  active_ms: number
}

export class Sessions {
  private readonly db: Database
  private readonly persons: Persons
  private readonly nowMs: () => number

  constructor(db: Database, nowMs: () => number) {
    this.db = db
    this.persons = new Persons(db)
    this.nowMs = nowMs
  }

  /** The token; only its hash is kept. */
  begin(person: string, how: How, display: string | null): string {
    const token = newToken()
    const now = this.nowMs()
    this.db.prepare('DELETE FROM session WHERE began_ms < ?').run(now - LONGEST_MS)
    this.db
      .prepare(
        'INSERT INTO session (token, person, how, display, began_ms, active_ms) VALUES (?, ?, ?, ?, ?, ?)',
      )
      .run(hashToken(token), person, how, display, now, now)
    return token
  }

  /** Undefined for a token that is unknown, ended, over, or of somebody who was deactivated. */
  of(token: string | undefined): Session | undefined {
    if (!isToken(token)) return undefined
    const row = this.db.prepare('SELECT * FROM session WHERE token = ?').get(hashToken(token)) as
      | Row
      | undefined
    const person = row && this.persons.byId(row.person)
    return row && person?.active ? this.seen(row, person) : undefined
  }

  private seen(row: Row, person: Person): Session | undefined {
    const now = this.nowMs()
    const [endsMs, actsUntilMs] = [row.began_ms + LONGEST_MS, row.active_ms + IDLE_MS[row.how]]
    const idle = now >= actsUntilMs
    if (now >= endsMs || now < row.active_ms - CLOCK_BACK_MS || (idle && row.how === 'pin')) return undefined
    const most = row.how === 'pin' ? lesser(person.role, 'reviewer') : person.role
    return {
      id: row.token,
      person,
      how: row.how,
      display: row.display,
      role: idle ? 'viewer' : most,
      idle,
      actsUntilMs: Math.min(actsUntilMs, endsMs),
      endsMs,
    }
  }

  /** The person did something. An idle session stays idle: that takes the password again. */
  touch(session: Session): void {
    const now = this.nowMs()
    if (session.idle || now - (session.actsUntilMs - IDLE_MS[session.how]) < WRITE_EVERY_MS) return
    this.db.prepare('UPDATE session SET active_ms = ? WHERE token = ?').run(now, session.id)
  }

  end(id: string): void {
    this.db.prepare('DELETE FROM session WHERE token = ?').run(id)
  }

  endAllOf(person: string): void {
    this.db.prepare('DELETE FROM session WHERE person = ?').run(person)
  }

  endAllBut({ id, person }: Session): void {
    this.db.prepare('DELETE FROM session WHERE person = ? AND token <> ?').run(person.id, id)
  }

  endAllAt(display: string): void {
    this.db.prepare('DELETE FROM session WHERE display = ?').run(display)
  }
}
