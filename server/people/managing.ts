import { ServerError } from '../errors.ts'
import { INVITATION_MS } from './link.ts'
import type { People } from './people.ts'
import type { Person } from './person.ts'
import type { Role } from './role.ts'
import { hashSecret } from './secret.ts'
import type { Session } from './session.ts'
import { checkPassword, checkPin, endSession } from './signing-in.ts'

export interface Invited {
  readonly person: Person
  readonly token: string
  readonly untilMs: number
}

/** Adds somebody, with a one-time link to hand over: no administrator ever knows another person's password. */
export const addPerson = (
  people: People,
  by: string,
  wanted: { id: string; name: string; role: Role },
): Invited => {
  const person = people.persons.add(wanted.id, wanted.name, wanted.role)
  people.record(by, 'people-added', { person: person.id, name: person.name, role: person.role })
  return invite(people, by, person.id)
}

/** A new link for somebody who lost password or PIN. Sessions go on until it is used. */
export const invite = (people: People, by: string, id: string, validMs = INVITATION_MS): Invited => {
  const person = people.persons.known(id)
  if (!person.active)
    throw new ServerError('not-possible-now', `${person.name} is deactivated`, { fix: 'reactivate first' })
  const link = people.links.make(person.id, validMs)
  people.record(by, 'people-secret', { person: person.id, name: person.name, what: 'link-made' })
  return { person, ...link }
}

/** Takes effect at once: whoever is signed in signs in again. */
export const changeRole = (people: People, by: string, id: string, role: Role): Person => {
  const person = people.persons.known(id)
  if (person.role === role) return person
  if (role !== 'administrator') checkNotLast(people, person)
  people.persons.setRole(id, role)
  people.sessions.endAllOf(id)
  people.record(by, 'people-role', { person: id, name: person.name, from: person.role, to: role })
  people.changed()
  return people.persons.known(id)
}

/** Nobody is deleted: the name stays taken and the record stays theirs. */
export const setActive = (people: People, by: string, id: string, active: boolean): Person => {
  const person = people.persons.known(id)
  if (person.active === active) return person
  if (!active) checkNotLast(people, person)
  people.persons.setActive(id, active)
  people.sessions.endAllOf(id)
  people.record(by, 'people-active', { person: id, name: person.name, active })
  people.changed()
  return people.persons.known(id)
}

const checkNotLast = (people: People, person: Person): void => {
  const counts = person.role === 'administrator' && person.active && person.password !== null
  if (counts && people.persons.administrators() === 1)
    throw new ServerError('not-possible-now', `${person.name} is the only administrator`, {
      fix: 'make somebody else administrator first, and let them sign in',
    })
}

/** The person's own, after they have proved who they are. A new password ends every session but this one. */
export const setOwnPassword = async (people: People, session: Session, password: string): Promise<void> => {
  const { id, name } = session.person
  checkPassword(password, name)
  people.persons.setPassword(id, await hashSecret(password, people.parts.cost))
  people.sessions.endAllBut(session)
  people.record(name, 'people-secret', { person: id, name, what: 'password' })
  people.changed()
}

export const setOwnPin = async (
  people: People,
  { person: { id, name } }: Session,
  pin: string,
): Promise<void> => {
  checkPin(pin)
  people.persons.setPin(id, await hashSecret(pin, people.parts.cost))
  people.record(name, 'people-secret', { person: id, name, what: 'pin' })
}

/** The browser that asks becomes a shared display; the administrator is signed out of it. Returns the display's token. */
export const pairDisplay = (people: People, session: Session, id: string, name: string): string => {
  const token = people.displays.pair(id, name, session.person.name, people.parts.nowMs())
  people.record(session.person.name, 'people-display-paired', { display: id, name })
  endSession(people, session, 'display-paired')
  return token
}

export const revokeDisplay = (people: People, by: string, id: string): void => {
  const { name, revokedMs } = people.displays.revoke(id, people.parts.nowMs())
  if (revokedMs !== null) return
  people.sessions.endAllAt(id)
  people.record(by, 'people-display-revoked', { display: id, name })
  people.changed()
}
