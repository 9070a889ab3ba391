import { mkdtempSync, rmSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import fc from 'fast-check'
import { v7 as uuidv7 } from 'uuid'
import { afterAll, beforeAll, describe, expect, it } from 'vitest'
import type { Health, Problem } from '../../server/wire.ts'
import { get, person, post } from '../support/api.ts'
import { makeHome, tcpPort, wiring } from '../support/home.ts'
import { nearlyRight } from '../support/nearly-right.ts'
import { endAll, isAlive, type Program, runPart, runToEnd } from '../support/program.ts'
import { type RawAnswer, rawRequest } from '../support/raw-http.ts'

const folder = mkdtempSync(join(tmpdir(), 'spargewatch-http-'))
const home = join(folder, 'home')
let server: Program
let address: string
let batch: string

beforeAll(async () => {
  makeHome(wiring({ port: tcpPort(9) }), home)
  const daemon = runPart(['daemon'], { home })
  server = runPart(['serve'], { home })
  await daemon.started()
  address = (await server.started()).address
  batch = await person(address).opens()
})
afterAll(async () => {
  await endAll()
  rmSync(folder, { recursive: true, force: true })
})

const JSON_TYPE = { 'content-type': 'application/json' }

/** An answer that a program on the other side can read: done, or problem details that say what is wrong. */
const expectCivil = (answer: RawAnswer): void => {
  expect(answer.status, answer.text).toBeGreaterThanOrEqual(200)
  expect(answer.status, answer.text).toBeLessThan(500)
  if (answer.status < 400) return
  expect(answer.type).toMatch(/^application\/problem\+json/)
  const problem = JSON.parse(answer.text) as Problem
  expect(problem.status).toBe(answer.status)
  expect(problem.detail.length).toBeGreaterThan(5)
  expect(problem.detail).not.toMatch(/SQLITE|node_modules|at .*\.js:\d+/)
}

interface Described {
  readonly path: string
  readonly method: string
}

const describedRoutes = async (): Promise<Described[]> => {
  const { paths } = await get<{ paths: Record<string, Record<string, unknown>> }>(
    address,
    '/api/openapi.json',
  )
  return Object.entries(paths).flatMap(([path, methods]) =>
    Object.keys(methods).map((method) => ({ path, method: method.toUpperCase() })),
  )
}

describe('the API', () => {
  it('answers at every route that it describes', async () => {
    const routes = await describedRoutes()
    expect(routes.length).toBeGreaterThanOrEqual(13)
    const query = '?bench=A&channel=dissolved-ozone&from=2026-03-04T14:00:00Z&to=2026-03-04T15:00:00Z'
    for (const { path, method } of routes) {
      const actual = path
        .replace('{id}', batch)
        .replace('{bench}', 'A')
        .replace('{key}', 'A:instrument-silent')
      const answer = await rawRequest(address, `${actual}${path === '/api/readings' ? query : ''}`, {
        method,
        ...(method === 'POST' ? { headers: JSON_TYPE, body: '{}' } : {}),
      })
      expectCivil(answer)
      // 422: nothing to send, and nobody is set up who could do it
      // a label wants to know of which draw-up, and this batch has none; a spread of which fluid; the id of a batch is none of a trial
      const isAsking = path.endsWith('/label.pdf') || path === '/api/trial-spread'
      const asked = isAsking ? [400] : path.startsWith('/api/trials/{id}') ? [404] : [200]
      const expected = method === 'GET' ? asked : [400, 422]
      expect(expected, `${method} ${path}: ${answer.text}`).toContain(answer.status)
    }
  })

  it('names what is wrong in 1,000 random bodies and never fails itself', async () => {
    const routes = ['/api/alarms/A:instrument-silent/acknowledgement', '/api/calibrations']
    const bodies = fc.oneof(
      fc.json(),
      fc.string({ unit: 'binary' }),
      fc.json().map((text) => text.slice(0, -1)),
      fc.constantFrom('null', '[]', '{"__proto__":{"who":"x"}}', '{"who":{"toString":1}}', '\u0000', '1e999'),
    )
    const types = fc.constantFrom('application/json', 'application/json; charset=utf-7', 'text/plain', 'x')
    await fc.assert(
      fc.asyncProperty(
        fc.constantFrom(`/api/batches/${batch}/entries`, ...routes),
        bodies,
        types,
        async (path, body, type) => {
          const answer = await rawRequest(address, path, {
            method: 'POST',
            headers: { 'content-type': type },
            body,
          })
          expectCivil(answer)
          expect(answer.status).toBeGreaterThanOrEqual(400)
        },
      ),
      { numRuns: 1000 },
    )
  })

  it('survives 600 actions that are right or nearly so, and the record still verifies', async () => {
    const { entries } = (await get<Health>(address, '/api/health')).ledger
    let taken = 0
    await fc.assert(
      fc.asyncProperty(nearlyRight, async ({ entry, ...rest }) => {
        const body = JSON.stringify({ id: uuidv7(), bench: 'A', expected_seq: 1_000_000, ...rest, entry })
        const path = `/api/batches/${batch}/entries`
        const answer = await rawRequest(address, path, { method: 'POST', headers: JSON_TYPE, body })
        expectCivil(answer)
        if (answer.status === 200) taken += 1
      }),
      { numRuns: 600 },
    )
    expect(taken, 'some of them were right').toBeGreaterThan(50)
    expect((await get<Health>(address, '/api/health')).ledger.entries).toBeGreaterThanOrEqual(entries + taken)
    const verified = await runToEnd(['ledger', 'verify'], { home })
    expect(verified).toMatchObject({ code: 0, stderr: '', stdout: expect.stringContaining('verifies') })
    expect((await rawRequest(address, `/api/batches/${batch}`)).status).toBe(200)
    expect((await rawRequest(address, `/api/batches/${batch}/record.csv`)).status).toBe(200)
  })

  it('names what is wrong in 600 random addresses and queries', async () => {
    const value = fc.oneof(
      fc.string({ unit: 'grapheme' }).map(encodeURIComponent),
      fc.webQueryParameters(),
      fc.constantFrom(
        '%E0%A4%A',
        '%00',
        '9999-12-31T23:59:59Z',
        '0000-01-01T00:00:00Z',
        '-1',
        '1e9',
        'NaN',
        '5000',
        'dissolved-ozone',
        'A',
        '../../etc/passwd',
        '..%2f..%2fetc%2fpasswd',
      ),
    )
    const query = fc
      .array(
        fc.tuple(
          fc.constantFrom(
            'bench',
            'channel',
            'from',
            'to',
            'points',
            'limit',
            'before',
            'text',
            'fluid',
            'x',
          ),
          value,
        ),
      )
      .map((pairs) => pairs.map(([k, v]) => `${k}=${v}`).join('&'))
    const path = fc.oneof(
      fc.constantFrom(
        '/api/readings',
        '/api/batches',
        '/api/alarms/history',
        '/api/health',
        '/api/site',
        '/api',
      ),
      value.map((v) => `/api/benches/${v}`),
      value.map((v) => `/api/batches/${v}`),
      value.map((v) => `/api/${v}`),
      value.map((v) => `/${v}`),
    )
    await fc.assert(
      fc.asyncProperty(path, query, async (where, asked) => {
        expectCivil(await rawRequest(address, `${where}?${asked}`.replace(/[^!-~]/g, '')))
      }),
      { numRuns: 600 },
    )
  })

  it('refuses ranges that no reading can have instead of failing at them', async () => {
    for (const [from, to] of [
      ['0000-01-01T00:00:00Z', '9999-12-31T23:59:59Z'],
      ['2026-03-04T15:00:00Z', '2026-03-04T14:00:00Z'],
      ['2026-03-04T14:00:00Z', '2026-03-04T14:00:00Z'],
    ])
      expectCivil(
        await rawRequest(address, `/api/readings?bench=A&channel=ph&from=${from}&to=${to}&points=5000`),
      )
  })

  it.each(['PUT', 'DELETE', 'PATCH', 'OPTIONS', 'TRACE'])(
    'answers %s with problem details',
    async (method) => {
      for (const path of ['/api/batches', '/api/nothing', '/'])
        expectCivil(await rawRequest(address, path, { method }))
    },
  )

  it('refuses a body over 64 kB as too large', async () => {
    const answer = await post<Problem>(address, `/api/batches/${batch}/entries`, { text: 'x'.repeat(70_000) })
    expect(answer.status).toBe(413)
    expect(answer.type).toContain('application/problem+json')
    expect(answer.body.detail).toContain('64 kB')
  })

  it('is still the same process afterwards, and has met nothing unexpected', () => {
    expect(isAlive(server.pid)).toBe(true)
    expect(server.stdout()).not.toContain('"trouble"')
  })
})
