import { io } from 'socket.io-client'
import { v7 as uuidv7 } from 'uuid'
import { expect, it, onTestFinished } from 'vitest'
import { routesOf } from '../../../server/http.ts'
import { EVENT_NEEDS, type Need, ROUTE_NEEDS } from '../../../server/people/needs.ts'
import {
  browserAt,
  invitePerson,
  type PeopleServer,
  pairDisplay,
  setUpAdministrator,
  startPeopleServer,
  type TestBrowser,
} from '../../support/people.ts'

const CALLERS = ['nobody', 'display', 'viewer', 'operator', 'reviewer', 'administrator'] as const
type CallerName = (typeof CALLERS)[number]

/** Written out once more, so that a slip in the comparing of roles is seen. */
const LET_IN: Readonly<Record<Need, readonly CallerName[]>> = {
  anybody: CALLERS,
  display: ['display'],
  viewer: ['display', 'viewer', 'operator', 'reviewer', 'administrator'],
  'operator-or-display': ['display', 'operator', 'reviewer', 'administrator'],
  operator: ['operator', 'reviewer', 'administrator'],
  reviewer: ['reviewer', 'administrator'],
  administrator: ['administrator'],
}

const everybody = async (server: PeopleServer): Promise<Record<CallerName, TestBrowser>> => {
  const administrator = await setUpAdministrator(server)
  const of = async (name: string, role: 'viewer' | 'operator' | 'reviewer') =>
    (await invitePerson(server, administrator, name, role)).browser
  return {
    nobody: browserAt(server.address),
    display: await pairDisplay(server),
    viewer: await of('Vera', 'viewer'),
    operator: await of('Otto', 'operator'),
    reviewer: await of('Rita', 'reviewer'),
    administrator,
  }
}

/** These end or change the session itself: each try gets a browser with its own copy of the cookies. */
const copyOf = (address: string, { cookies }: TestBrowser) => browserAt(address, new Map(cookies))

it('names a least role for every route, and no route that does not exist', async () => {
  const server = await startPeopleServer()
  const routes = routesOf(server.service).map((r) => `${r.method.toUpperCase()} ${r.path}`)
  expect([...routes, 'GET /api/openapi.json'].sort()).toEqual(Object.keys(ROUTE_NEEDS).sort())
})

it('lets into every route exactly those whom the table names', { timeout: 120_000 }, async () => {
  const server = await startPeopleServer()
  const people = await everybody(server)
  const routes = [
    ...routesOf(server.service),
    { method: 'get' as const, path: '/api/openapi.json', body: undefined },
  ]
  const wrong: string[] = []
  for (const { method, path, body } of routes) {
    const need = ROUTE_NEEDS[`${method.toUpperCase()} ${path}`] ?? 'administrator'
    const actual = path.replace(/\{\w+\}/, uuidv7()).replace('/api/sign-out', '/api/sign-out')
    for (const name of CALLERS) {
      // a body that no route takes: whoever is let in is told that, and nothing is done
      const sent = body === undefined ? undefined : { nothing: 'like it' }
      const { status, body: said } = await copyOf(server.address, people[name]).ask(
        method === 'get' ? 'GET' : 'POST',
        actual,
        sent,
      )
      const isIn = status !== 401 && status !== 403
      if (isIn !== LET_IN[need].includes(name))
        wrong.push(`${name} at ${method} ${path} (${need}): ${status} ${JSON.stringify(said).slice(0, 100)}`)
      if (!isIn && name === 'nobody') expect(status).toBe(401)
    }
  }
  expect(wrong).toEqual([])
  expect(server.troubles).toEqual([])
})

it('lets exactly those hear the live channel and ask on it', { timeout: 60_000 }, async () => {
  const server = await startPeopleServer()
  const people = await everybody(server)
  for (const transport of ['polling', 'websocket'] as const)
    for (const name of CALLERS) {
      const cookie = [...people[name].cookies].map(([key, value]) => `${key}=${value}`).join('; ')
      const socket = io(server.address, {
        extraHeaders: { cookie },
        transports: [transport],
        reconnection: false,
      })
      onTestFinished(() => void socket.close())
      const isIn = await new Promise<boolean>((resolve) => {
        socket.once('site', () => resolve(true))
        socket.once('connect_error', () => resolve(false))
      })
      expect(isIn, `${name} over ${transport}`).toBe(LET_IN[EVENT_NEEDS.connection].includes(name))
      if (!isIn) continue
      const watched = await new Promise((resolve) => socket.emit('watch', 'A', resolve))
      expect(watched !== null, `${name} watches`).toBe(LET_IN[EVENT_NEEDS.watch].includes(name))
      socket.emit('unwatch', 'A')
    }
})

it('lets everybody at this machine do everything until somebody is set up, as before', async () => {
  const server = await startPeopleServer()
  const browser = browserAt(server.address)
  for (const { method, path } of routesOf(server.service)) {
    if (method !== 'get') continue
    const { status } = await browser.get(path.replace(/\{\w+\}/, uuidv7()))
    // without what it asks for, some of them answer that
    expect([200, 400, 404, 503], `${path}`).toContain(status)
  }
})
