import { ServerError } from '../errors.ts'
import type { Display } from './display.ts'
import type { People } from './people.ts'
import type { Person } from './person.ts'
import { prove } from './proving.ts'
import { hashSecret, whyWeakPassword, whyWeakPin } from './secret.ts'
import type { Session } from './session.ts'

interface Signing {
  readonly name: string
  readonly password: string
  readonly address: string
}

/** Returns the token of a new session. `before`: the session this browser had, which ends. */
export const signIn = async (
  people: People,
  { name, password, address }: Signing,
  before: Session | undefined,
): Promise<string> => {
  const found = people.persons.byName(name)
  const { person, failedBefore } = await prove(people, {
    person: found,
    typed: name,
    secret: password,
    kinds: ['password'],
    address,
  })
  return begin(people, person, { by: 'password', failedBefore, display: null }, before)
}

/** With a PIN, at a paired display. */
export const signInAtDisplay = async (
  people: People,
  display: Display,
  { person: id, pin }: { readonly person: string; readonly pin: string },
  before: Session | undefined,
): Promise<string> => {
  const found = people.persons.byId(id)
  const { person, failedBefore } = await prove(people, {
    person: found,
    typed: id,
    secret: pin,
    kinds: ['pin'],
    address: `display ${display.name}`,
  })
  return begin(people, person, { by: 'pin', failedBefore, display }, before)
}

export interface SecretsWanted {
  readonly token: string
  /** Of the first administrator; a link made for somebody knows whose it is. */
  readonly name?: string | undefined
  readonly password: string
  readonly pin?: string | undefined
}

/** Whose a link is: null for the first administrator. Throws `not-found` for one that is no good. */
export const personOfLink = (people: People, token: string): Person | null => {
  const link = people.links.of(token)
  const person = link?.person == null ? null : people.persons.byId(link.person)
  if (!link || person?.active === false || (link.person === null && people.isSetUp()))
    throw new ServerError(
      'not-found',
      'this link was used already, is over, or was replaced by a newer one',
      {
        fix: 'ask an administrator for a new one; for the first one start the program again; for a lost administrator password run "spargewatch people reset NAME" on the machine',
      },
    )
  return person ?? null
}

/** A one-time link becomes a password, and the person is signed in; sessions they had end. */
export const useLink = async (people: People, wanted: SecretsWanted): Promise<string> => {
  const known = personOfLink(people, wanted.token)
  const name = known?.name ?? wanted.name
  if (name === undefined)
    throw new ServerError('bad-request', 'body.name: the first administrator needs a name')
  checkPassword(wanted.password, name)
  if (wanted.pin !== undefined) checkPin(wanted.pin)
  const password = await hashSecret(wanted.password, people.parts.cost)
  const pin = wanted.pin === undefined ? undefined : await hashSecret(wanted.pin, people.parts.cost)
  const person = people.parts.db
    .transaction((): Person => {
      personOfLink(people, wanted.token)
      const owner = known ?? people.persons.add(people.parts.newId(), name, 'administrator')
      people.links.use(wanted.token)
      people.persons.setPassword(owner.id, password)
      if (pin !== undefined) people.persons.setPin(owner.id, pin)
      people.sessions.endAllOf(owner.id)
      return owner
    })
    .immediate()
  const about = { person: person.id, name: person.name }
  if (!known) people.record(person.name, 'people-added', { ...about, role: person.role })
  people.record(person.name, 'people-secret', { ...about, what: 'password' })
  if (pin !== undefined) people.record(person.name, 'people-secret', { ...about, what: 'pin' })
  people.changed()
  return begin(people, person, { by: 'link', failedBefore: 0, display: null }, undefined)
}

export const checkPassword = (password: string, name: string): void => {
  const why = whyWeakPassword(password, name)
  if (why !== undefined) throw new ServerError('bad-request', `body.password: ${why}`)
}

export const checkPin = (pin: string): void => {
  const why = whyWeakPin(pin)
  if (why !== undefined) throw new ServerError('bad-request', `body.pin: ${why}`)
}

interface Beginning {
  readonly by: 'password' | 'pin' | 'link'
  readonly failedBefore: number
  readonly display: Display | null
}

const begin = (
  people: People,
  person: Person,
  { by, failedBefore, display }: Beginning,
  before: Session | undefined,
): string => {
  if (before) endSession(people, before, 'switched')
  const token = people.sessions.begin(person.id, by === 'pin' ? 'pin' : 'password', display?.id ?? null)
  people.record(person.name, 'people-signed-in', {
    person: person.id,
    by,
    display: display?.name ?? null,
    failed_before: failedBefore,
  })
  return token
}

export const endSession = (
  people: People,
  session: Session,
  why: 'by-hand' | 'switched' | 'display-paired',
): void => {
  people.sessions.end(session.id)
  people.record(session.person.name, 'people-signed-out', { person: session.person.id, why })
  people.changed()
}
