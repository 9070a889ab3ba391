import { createServer } from 'node:http'
import { join } from 'node:path'
import { v7 as uuidv7 } from 'uuid'
import { onTestFinished } from 'vitest'
import { SqliteStore } from '../../ingest/store/sqlite-store.ts'
import type { SeriesInfo } from '../../ingest/store/store.ts'
import { createLiveEstimator, liveEstimate } from '../../server/analysis/live.ts'
import { readServerConfig } from '../../server/config.ts'
import { createHttp, listen } from '../../server/http.ts'
import { LINK_MS } from '../../server/people/link.ts'
import { OURS_HERE } from '../../server/routes/own-origin.ts'
import { openService, type Service } from '../../server/service.ts'
import { createSockets } from '../../server/sockets.ts'
import type { Invited, RoleName } from '../../server/wire.ts'
import { makeHome, tcpPort, wiring } from './home.ts'
import { temporaryFolder } from './temporary-folder.ts'

export const PASSWORD = 'correct horse battery'
export const PIN = '493817'

/** What a browser keeps and sends: its cookies, by name. */
export type Cookies = Map<string, string>

export interface Answered<T = Record<string, unknown>> {
  readonly status: number
  readonly body: T
  readonly headers: Headers
}

/** A browser of its own: keeps what is set, sends it along. */
export const browserAt = (address: string, cookies: Cookies = new Map()) => {
  const ask = async <T = Record<string, unknown>>(
    method: 'GET' | 'POST',
    path: string,
    body?: unknown,
    headers: Record<string, string> = {},
  ): Promise<Answered<T>> => {
    const response = await fetch(address + path, {
      method,
      headers: {
        cookie: [...cookies].map(([name, value]) => `${name}=${value}`).join('; '),
        ...(body === undefined ? {} : { 'content-type': 'application/json' }),
        ...headers,
      },
      ...(body === undefined ? {} : { body: JSON.stringify(body) }),
    })
    for (const set of response.headers.getSetCookie()) {
      const [, name = '', value = ''] = /^([^=]+)=([^;]*)/.exec(set) ?? []
      if (value === '') cookies.delete(name)
      else cookies.set(name, value)
    }
    const text = await response.text()
    const isJson = response.headers.get('content-type')?.includes('json') === true
    return {
      status: response.status,
      body: (isJson ? JSON.parse(text) : text) as T,
      headers: response.headers,
    }
  }
  return {
    cookies,
    ask,
    get: <T>(path: string) => ask<T>('GET', path),
    post: <T>(path: string, body: unknown = {}) => ask<T>('POST', path, body),
  }
}
export type TestBrowser = ReturnType<typeof browserAt>

/** A server in this process whose clock the test moves; `wired` stands in for what a daemon has said of its meters. */
export const startPeopleServer = async (wired: readonly SeriesInfo[] = []) => {
  const home = makeHome(wiring({ port: tcpPort(1) }), join(temporaryFolder(), 'home'))
  const readings = join(home, 'readings.db')
  const store = new SqliteStore({ path: readings, kind: 'real', writes: true })
  store.wire(wired)
  const clock = { ms: Date.parse('2026-03-14T09:00:00Z') }
  const troubles: unknown[] = []
  const sockets = createSockets()
  const service: Service = openService({
    config: readServerConfig(home),
    version: 'test',
    files: { readings, ledger: join(home, 'ledger.db') },
    estimator: liveEstimate,
    newEstimator: createLiveEstimator,
    clock: { nowMs: () => clock.ms, steadyMs: () => clock.ms },
    publish: sockets.publish,
    onTrouble: (error) => void troubles.push(error),
    // the same work, a thousandth of it: hundreds of sign-ins in one test
    secretCost: { N: 2 ** 8, r: 8, p: 1 },
  })
  const http = createServer(
    createHttp({
      service,
      ours: OURS_HERE,
      behindProxy: false,
      screens: join(home, 'no-screens'),
      onUnexpected: (error) => void troubles.push(error),
    }),
  )
  const stopSockets = sockets.serve(http, service, OURS_HERE)
  const address = await listen(http, '127.0.0.1', 0)
  onTestFinished(async () => {
    http.closeAllConnections()
    await stopSockets()
    service.close()
    await store.close()
  })
  const advance = (ms: number): void => {
    clock.ms += ms
  }
  return { address, service, store, clock, troubles, home, advance }
}
export type PeopleServer = Awaited<ReturnType<typeof startPeopleServer>>

/** The first administrator, by the link that the program prints. */
export const setUpAdministrator = async ({ address, service }: PeopleServer): Promise<TestBrowser> => {
  const { token } = service.people.links.make(null, LINK_MS)
  const browser = browserAt(address)
  const made = await browser.post('/api/link/use', { token, name: 'Ada', password: PASSWORD, pin: PIN })
  if (made.status !== 200) throw new Error(JSON.stringify(made.body))
  return browser
}

/** Adds somebody and lets them use their link; their browser is signed in. */
export const invitePerson = async (
  { address }: PeopleServer,
  administrator: TestBrowser,
  name: string,
  role: RoleName,
): Promise<{ readonly browser: TestBrowser; readonly id: string }> => {
  const id = uuidv7()
  const { body } = await administrator.post<Invited>('/api/people', { id, name, role })
  const browser = browserAt(address)
  const token = body.link.split('#')[1]
  const used = await browser.post('/api/link/use', { token, password: PASSWORD, pin: PIN })
  if (used.status !== 200) throw new Error(JSON.stringify(used.body))
  return { browser, id }
}

/** A shared screen, paired by an administrator who signs in there for it. */
export const pairDisplay = async (server: PeopleServer, name = 'Wall'): Promise<TestBrowser> => {
  const browser = browserAt(server.address)
  await browser.post('/api/sign-in', { name: 'Ada', password: PASSWORD })
  const paired = await browser.post('/api/displays', { id: uuidv7(), name })
  if (paired.status !== 200) throw new Error(JSON.stringify(paired.body))
  return browser
}
