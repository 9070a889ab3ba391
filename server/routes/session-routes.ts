import type { Request, Response } from 'express'
import type { z } from 'zod'
import type { Caller } from '../people/caller.ts'
import { cookieOf, DISPLAY_COOKIE, DISPLAY_MAX_AGE_S, SESSION_COOKIE, setCookie } from '../people/cookies.ts'
import { setOwnPassword, setOwnPin } from '../people/managing.ts'
import { notSetUp, personOf, sessionOf } from '../people/present.ts'
import { prove } from '../people/proving.ts'
import { LONGEST_MS, type Session } from '../people/session.ts'
import { endSession, personOfLink, signIn, signInAtDisplay, useLink } from '../people/signing-in.ts'
import type { Service } from '../service.ts'
import {
  linkFound,
  linkUsed,
  linkWanted,
  nothingWanted,
  ownPinWanted,
  passwordWanted,
  pinWanted,
  session,
  signInWanted,
} from '../wire/people-schema.ts'
import type { SessionView } from '../wire.ts'
import type { Route } from './route.ts'

/** Signing in and out, and a person's own password and PIN. */
export const sessionRoutes = ({ people, secureCookies }: Service): Route[] => {
  const put = (response: Response, name: string, value: string, maxAgeS: number): void =>
    void response.append('set-cookie', setCookie(name, value, maxAgeS, secureCookies))
  const begun = (response: Response, token: string): SessionView => {
    put(response, SESSION_COOKIE, token, LONGEST_MS / 1000)
    const began = people.sessions.of(token)
    const display = people.displays.all().find((d) => d.id === began?.display) ?? null
    return sessionOf(people, began ? { kind: 'person', session: began, display } : { kind: 'nobody' })
  }
  const own = (caller: Caller): Session | undefined => (caller.kind === 'person' ? caller.session : undefined)
  const ownSecret = (
    what: 'password' | 'pin',
    summary: string,
    wanted: z.ZodType<{ current: string }>,
    set: (mine: Session, body: unknown) => Promise<void>,
  ): Route => ({
    method: 'post',
    path: `/api/session/${what}`,
    summary,
    body: wanted,
    answer: session,
    handle: async ({ body, caller }, _response, request) => {
      const mine = personOf(caller)
      const { person } = mine
      const secret = (body as { current: string }).current
      const proof = { person, typed: person.name, secret, address: addressOf(request) }
      await prove(people, { ...proof, kinds: ['password'] })
      await set(mine, body)
      return sessionOf(people, caller)
    },
  })
  return [
    {
      method: 'get',
      path: '/api/session',
      summary: 'Who is signed in here, and whether anybody can',
      answer: session,
      handle: ({ caller }, response, request) => {
        const display = cookieOf(request.headers.cookie, DISPLAY_COOKIE)
        // renewed while it is in use, so that a display is never let go by its browser
        if (display !== undefined && people.displays.of(display))
          put(response, DISPLAY_COOKIE, display, DISPLAY_MAX_AGE_S)
        return sessionOf(people, caller)
      },
    },
    {
      method: 'post',
      path: '/api/sign-in',
      summary: 'Sign in with name and password; the answer sets a cookie',
      body: signInWanted,
      answer: session,
      handle: async ({ body, caller }, response, request) => {
        if (caller.kind === 'open') throw notSetUp()
        const { name, password } = body as z.infer<typeof signInWanted>
        const address = addressOf(request)
        return begun(response, await signIn(people, { name, password, address }, own(caller)))
      },
    },
    {
      method: 'post',
      path: '/api/sign-in/pin',
      summary: 'Act at this paired display: name and PIN; ends after 10 minutes without a sign of the person',
      body: pinWanted,
      answer: session,
      handle: async ({ body, caller }, response) => {
        if (!('display' in caller) || caller.display === null) throw notSetUp()
        const wanted = body as z.infer<typeof pinWanted>
        return begun(response, await signInAtDisplay(people, caller.display, wanted, own(caller)))
      },
    },
    {
      method: 'post',
      path: '/api/sign-out',
      summary: 'Sign out here; a paired display goes on showing',
      body: nothingWanted,
      answer: session,
      handle: ({ caller }, response) => {
        if (caller.kind === 'open') throw notSetUp()
        put(response, SESSION_COOKIE, '', 0)
        if (caller.kind !== 'person') return sessionOf(people, caller)
        endSession(people, caller.session, 'by-hand')
        const { display } = caller
        return sessionOf(people, display ? { kind: 'display', display } : { kind: 'nobody' })
      },
    },
    {
      method: 'post',
      path: '/api/session/here',
      summary: 'The person is still at this screen',
      body: nothingWanted,
      answer: session,
      handle: ({ caller }) => {
        if (caller.kind === 'open') throw notSetUp()
        return sessionOf(people, caller)
      },
    },
    ownSecret(
      'password',
      'Another password for who is signed in; their other sessions end',
      passwordWanted,
      (mine, body) => setOwnPassword(people, mine, (body as z.infer<typeof passwordWanted>).password),
    ),
    ownSecret('pin', 'A PIN, or another one, for who is signed in', ownPinWanted, (mine, body) =>
      setOwnPin(people, mine, (body as z.infer<typeof ownPinWanted>).pin),
    ),
    {
      method: 'post',
      path: '/api/link',
      summary: 'Whose a one-time link is; does not use it',
      body: linkWanted,
      answer: linkFound,
      handle: ({ body }) => ({
        name: personOfLink(people, (body as z.infer<typeof linkWanted>).token)?.name ?? null,
      }),
    },
    {
      method: 'post',
      path: '/api/link/use',
      summary: 'Set a password, and a PIN, by a one-time link, and be signed in',
      body: linkUsed,
      answer: session,
      handle: async ({ body }, response) =>
        begun(response, await useLink(people, body as z.infer<typeof linkUsed>)),
    },
  ]
}

/** For counting wrong tries; behind one proxy it is what that says. */
export const addressOf = (request: Request): string => (request.ip ?? 'unknown').slice(0, 60)
