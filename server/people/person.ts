import type { Database } from 'better-sqlite3'
import { ServerError } from '../errors.ts'
import type { Role } from './role.ts'

export interface Person {
  readonly id: string
  readonly name: string
  readonly role: Role
  readonly active: boolean
  /** Hashes, null until set. */
  readonly password: string | null
  readonly pin: string | null
}

type Row = Omit<Person, 'active'> & { readonly active: number }

/** Two names that a person would take for the same are the same. */
export const nameKey = (name: string): string =>
  name.normalize('NFKC').trim().replace(/\s+/g, ' ').toLowerCase()

/** Names that the program itself writes into the record. */
const RESERVED = /^(spargewatch|not signed yet|name not given)/

export class Persons {
  private readonly db: Database

  constructor(db: Database) {
    this.db = db
  }

  /** Somebody can sign in and look after the others. */
  hasAdministrator(): boolean {
    return this.administrators() > 0
  }

  administrators(): number {
    const sql =
      "SELECT count(*) FROM person WHERE role = 'administrator' AND active = 1 AND password IS NOT NULL"
    return Number(this.db.prepare(sql).pluck().get())
  }

  all(): Person[] {
    return (this.db.prepare('SELECT * FROM person ORDER BY name_key').all() as Row[]).map(personOf)
  }

  byId(id: string): Person | undefined {
    return this.found('SELECT * FROM person WHERE id = ?', id)
  }

  byName(name: string): Person | undefined {
    return this.found('SELECT * FROM person WHERE name_key = ?', nameKey(name))
  }

  /** Throws `conflict` for a name that somebody has or had. */
  add(id: string, name: string, role: Role): Person {
    if (RESERVED.test(nameKey(name)))
      throw new ServerError('bad-request', `the name ${name} is one that the program itself writes`, {
        fix: 'take the name of a person',
      })
    if (this.byName(name))
      throw new ServerError('conflict', `there is, or was, a person called ${name}`, {
        fix: 'take a name that nobody here has had: it stands in the record',
      })
    this.db
      .prepare('INSERT INTO person (id, name, name_key, role, active) VALUES (?, ?, ?, ?, 1)')
      .run(id, name, nameKey(name), role)
    return this.known(id)
  }

  setRole(id: string, role: Role): void {
    this.db.prepare('UPDATE person SET role = ? WHERE id = ?').run(role, id)
  }

  setActive(id: string, active: boolean): void {
    this.db.prepare('UPDATE person SET active = ? WHERE id = ?').run(active ? 1 : 0, id)
  }

  setPassword(id: string, hash: string): void {
    this.db.prepare('UPDATE person SET password = ? WHERE id = ?').run(hash, id)
  }

  setPin(id: string, hash: string): void {
    this.db.prepare('UPDATE person SET pin = ? WHERE id = ?').run(hash, id)
  }

  /** Throws `not-found`. */
  known(id: string): Person {
    const person = this.byId(id)
    if (!person) throw new ServerError('not-found', `there is no person ${id}`, { fix: 'see /api/people' })
    return person
  }

  private found(sql: string, value: string): Person | undefined {
    const row = this.db.prepare(sql).get(value) as Row | undefined
    return row && personOf(row)
  }
}

const personOf = ({ id, name, role, active, password, pin }: Row): Person => ({
  id,
  name,
  role,
  active: active === 1,
  password,
  pin,
})
