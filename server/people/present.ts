import { ServerError } from '../errors.ts'
import type { SessionView } from '../wire.ts'
import type { Caller } from './caller.ts'
import type { People } from './people.ts'
import { reaches } from './role.ts'
import type { Session } from './session.ts'

/** What a screen is told about who is at it. */
export const sessionOf = (people: People, caller: Caller): SessionView => {
  const display = 'display' in caller ? caller.display : null
  return {
    set_up: people.isSetUp(),
    person: caller.kind === 'person' ? personView(people, caller.session) : null,
    display: display && {
      name: display.name,
      people: people.persons
        .all()
        .filter((p) => p.active && p.pin !== null && reaches(p.role, 'operator'))
        .map(({ id, name }) => ({ id, name })),
    },
  }
}

const personView = (people: People, session: Session): SessionView['person'] => ({
  id: session.person.id,
  name: session.person.name,
  role: session.person.role,
  acts_as: session.role,
  by: session.how,
  idle: session.idle,
  acts_until: new Date(session.actsUntilMs).toISOString(),
  ends_at: new Date(session.endsMs).toISOString(),
  has_pin: people.persons.byId(session.person.id)?.pin != null,
})

/** The session of a person; throws where there is none, as everywhere while nobody is set up. */
export const personOf = (caller: Caller): Session => {
  if (caller.kind === 'person') return caller.session
  if (caller.kind === 'open') throw notSetUp()
  throw new ServerError('not-signed-in', 'this needs a person', { fix: 'sign in first' })
}

export const notSetUp = (): ServerError =>
  new ServerError('not-possible-now', 'nobody can sign in yet', {
    fix: 'open the set-up link that the program printed when it started, and make the first administrator',
  })
