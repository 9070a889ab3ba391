import type { IncomingMessage } from 'node:http'
import { ServerError } from '../errors.ts'
import type { Who } from '../ledger/entry.ts'
import { cookieOf, DISPLAY_COOKIE, SESSION_COOKIE } from './cookies.ts'
import type { Display } from './display.ts'
import type { People } from './people.ts'
import type { Session } from './session.ts'

/** Who asks. `open`: nobody is set up yet, so whoever is at this machine may do everything, under a typed name. */
export type Caller =
  | { readonly kind: 'open' }
  | { readonly kind: 'nobody' }
  | { readonly kind: 'display'; readonly display: Display }
  | { readonly kind: 'person'; readonly session: Session; readonly display: Display | null }

/** By the cookies of a request. A PIN session counts only in the browser of the display it was begun at. */
export const callerOf = (people: People, { headers }: Pick<IncomingMessage, 'headers'>): Caller => {
  if (!people.isSetUp()) return { kind: 'open' }
  const display = people.displays.of(cookieOf(headers.cookie, DISPLAY_COOKIE)) ?? null
  const session = people.sessions.of(cookieOf(headers.cookie, SESSION_COOKIE))
  if (session && (session.display === null || session.display === display?.id))
    return { kind: 'person', session, display }
  return display ? { kind: 'display', display } : { kind: 'nobody' }
}

/**
 * Who an entry is by: the session says so, and a name sent along must be that name. Typed only while nobody is set up.
 * At a paired display without a person it waits for a signature.
 */
export const whoOf = (caller: Caller, typed: string | undefined): Who => {
  switch (caller.kind) {
    case 'open':
      if (typed === undefined)
        throw new ServerError('bad-request', 'body.who: needs a name', { fix: 'type who does this' })
      return { name: typed, how: 'typed' }
    case 'person': {
      const { name } = caller.session.person
      if (typed !== undefined && typed.trim() !== name)
        throw new ServerError('not-allowed', `body.who is ${typed}, but ${name} is signed in`, {
          fix: 'leave who out, or sign in as the one who does this',
        })
      return { name, how: 'signed-in' }
    }
    case 'display':
      if (typed !== undefined)
        throw new ServerError(
          'not-allowed',
          `body.who is ${typed}, but nobody is signed in at this display`,
          {
            fix: 'leave who out and sign afterwards, or pick your name and enter your PIN first',
          },
        )
      return { name: `not signed yet (display ${caller.display.name})`, how: 'unsigned' }
    case 'nobody':
      throw notSignedIn()
    default:
      return caller satisfies never
  }
}

export const notSignedIn = (): ServerError =>
  new ServerError('not-signed-in', 'nobody is signed in', { fix: 'sign in first' })
