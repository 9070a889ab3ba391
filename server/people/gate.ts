import type { IncomingMessage } from 'node:http'
import { ServerError } from '../errors.ts'
import { type Caller, callerOf, notSignedIn } from './caller.ts'
import type { Need } from './needs.ts'
import type { People } from './people.ts'
import { reaches } from './role.ts'

/** Lets in who may, and says who it is; throws `not-signed-in` or `not-allowed`. The one place where this is decided. */
export type Gate = (request: Pick<IncomingMessage, 'headers'>, need: Need) => Caller

export const gateOf =
  (people: People): Gate =>
  (request, need) => {
    const caller = callerOf(people, request)
    const why = whyNot(caller, need)
    if (why) throw why
    return caller
  }

/** Undefined when a caller may do what needs this. */
export const whyNot = (caller: Caller, need: Need): ServerError | undefined => {
  if (caller.kind === 'open' || need === 'anybody') return undefined
  if (caller.kind === 'nobody') return notSignedIn()
  if (need === 'display')
    return caller.display === null ? notAllowed('this is no paired display', SIGN_IN_INSTEAD) : undefined
  if (caller.kind === 'display')
    return need === 'viewer' || need === 'operator-or-display'
      ? undefined
      : new ServerError('not-signed-in', 'this needs a person: the display alone only shows', {
          fix: 'pick your name and enter your PIN',
        })
  const { session } = caller
  const least = need === 'operator-or-display' ? 'operator' : need
  if (reaches(session.role, least)) return undefined
  if (session.idle)
    return new ServerError('not-signed-in', `${session.person.name} has not done anything for a while`, {
      fix: 'sign in again to go on',
    })
  const fix =
    session.how === 'pin' && reaches(session.person.role, least)
      ? 'sign in with your password, not at a shared display'
      : 'ask an administrator'
  return notAllowed(`this needs the role ${least}; ${session.person.name} acts as ${session.role}`, fix)
}

const SIGN_IN_INSTEAD = 'sign in with name and password'

const notAllowed = (what: string, fix: string): ServerError => new ServerError('not-allowed', what, { fix })
