import type { Database } from 'better-sqlite3'
import type { EntryData } from '../ledger/entry.ts'
import type { Ledger } from '../ledger/ledger.ts'
import type { PeopleEntryKind } from '../ledger/people-entry.ts'
import { Attempts } from './attempts.ts'
import { Displays } from './display.ts'
import { Links } from './link.ts'
import { Persons } from './person.ts'
import type { Cost } from './secret.ts'
import { Sessions } from './session.ts'

export interface PeopleParts {
  readonly db: Database
  readonly ledger: Ledger
  readonly nowMs: () => number
  readonly steadyMs: () => number
  readonly newId: () => string
  /** Of new hashes; left out: as shipped. */
  readonly cost?: Cost | undefined
}

/** Everything about who may do what: the file, what is remembered of wrong tries, and the way into the record. */
export class People {
  readonly persons: Persons
  readonly sessions: Sessions
  readonly displays: Displays
  readonly links: Links
  readonly attempts: Attempts
  readonly parts: PeopleParts
  private readonly listeners = new Set<() => void>()

  constructor(parts: PeopleParts) {
    this.parts = parts
    this.persons = new Persons(parts.db)
    this.sessions = new Sessions(parts.db, parts.nowMs)
    this.displays = new Displays(parts.db)
    this.links = new Links(parts.db, parts.nowMs)
    this.attempts = new Attempts(() => parts.steadyMs() / 1000)
  }

  /** False until the first administrator has a password: until then everybody on this machine types a name. */
  isSetUp(): boolean {
    return this.persons.hasAdministrator()
  }

  /** Into the record: `by` did it, now. */
  record<K extends PeopleEntryKind>(by: string, kind: K, data: EntryData<K>): void {
    const { ledger, newId, nowMs } = this.parts
    const at = new Date(nowMs()).toISOString()
    const isProgram = by === PROGRAM
    ledger.append<PeopleEntryKind>({
      id: newId(),
      happened_at: at,
      entered_at: at,
      bench: null,
      batch: null,
      who: { name: by, how: isProgram ? 'program' : 'signed-in' },
      kind,
      data,
    })
  }

  /** Called when somebody may no longer do what they could: live connections are looked at again. */
  onChanged(listener: () => void): () => void {
    this.listeners.add(listener)
    return () => this.listeners.delete(listener)
  }

  changed(): void {
    for (const listener of this.listeners) listener()
  }

  close(): void {
    this.parts.db.close()
  }
}

export const PROGRAM = 'Spargewatch'
