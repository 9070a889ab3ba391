import fc from 'fast-check'
import { v7 as uuidv7 } from 'uuid'
import { describe, expect, it } from 'vitest'
import { routesOf } from '../../../server/http.ts'
import { verifyChain } from '../../../server/ledger/hash-chain.ts'
import type { Acted, Action, BatchRecord, EntryView, Problem, SessionView } from '../../../server/wire.ts'
import { entryWords } from '../../../server/wording/entries.ts'
import { reviewWords } from '../../../server/wording/people-words.ts'
import { siteClock } from '../../../server/wording/site-clock.ts'
import { OPENING } from '../../support/api.ts'
import {
  browserAt,
  invitePerson,
  PASSWORD,
  PIN,
  pairDisplay,
  setUpAdministrator,
  startPeopleServer,
  type TestBrowser,
} from '../../support/people.ts'

const enter = (browser: TestBrowser, batch: string, entry: Action, more = {}) =>
  browser.post<Acted & Problem>(`/api/batches/${batch}/entries`, {
    id: uuidv7(),
    bench: 'A',
    expected_seq: 1_000_000,
    entry,
    ...more,
  })

/** Ada, Otto and Rita, a display, and a batch of Otto's that is bubbling. */
const atWork = async () => {
  const server = await startPeopleServer()
  const ada = await setUpAdministrator(server)
  const { browser: otto } = await invitePerson(server, ada, 'Otto', 'operator')
  const { browser: rita } = await invitePerson(server, ada, 'Rita', 'reviewer')
  const display = await pairDisplay(server)
  const batch = uuidv7()
  const opened = await enter(otto, batch, OPENING, { expected_seq: 0 })
  expect(opened.status, JSON.stringify(opened.body)).toBe(200)
  expect((await enter(otto, batch, { kind: 'ozone-on' })).status).toBe(200)
  const record = async () => (await otto.get<BatchRecord>(`/api/batches/${batch}`)).body
  const idOf = async (name: string) =>
    (await display.get<SessionView>('/api/session')).body.display?.people.find((p) => p.name === name)?.id ??
    ''
  return { server, ada, otto, rita, display, batch, record, idOf }
}

describe('who an entry is by', () => {
  it('comes from the session; the same name sent along is taken, another is refused', async () => {
    const { otto, batch } = await atWork()
    const own = await enter(otto, batch, { kind: 'note', data: { text: 'mine' } }, { who: 'Otto' })
    expect(own.body.entry.who).toEqual({ name: 'Otto', how: 'signed-in' })
    const other = await enter(otto, batch, { kind: 'note', data: { text: 'hers' } }, { who: 'Rita' })
    expect(other.status).toBe(403)
    expect(other.body.detail).toContain('Otto is signed in')
  })

  it('is each one’s own with two operators at one bench, and the later one sees the earlier', async () => {
    const { server, ada, otto, batch, record } = await atWork()
    const { browser: olga } = await invitePerson(server, ada, 'Olga', 'operator')
    const { seq } = (await record()).summary.head
    const both = await Promise.all([
      enter(otto, batch, { kind: 'ozone-off' }, { expected_seq: seq }),
      enter(olga, batch, { kind: 'ozone-off' }, { expected_seq: seq }),
    ])
    expect(both.map((a) => a.status).sort()).toEqual([200, 409])
    const won = both[0]?.status === 200 ? 'Otto' : 'Olga'
    const lost = both.find((a) => a.status === 409)
    expect(lost?.body.entries?.[0]?.who).toEqual({ name: won, how: 'signed-in' })
    expect((await record()).entries.filter((e) => e.kind === 'ozone-off')).toHaveLength(1)
  })
})

describe('at a display before anybody says who', () => {
  it('takes what stops gas, takes it back, and nothing else', async () => {
    const { display, batch, record } = await atWork()
    for (const entry of [
      { kind: 'note', data: { text: 'x' } },
      { kind: 'drawn-up', data: { ml: 10 } },
      { kind: 'disconnected' },
      { kind: 'probe-out' },
    ] satisfies Action[])
      expect((await enter(display, batch, entry)).status, entry.kind).toBe(401)
    const on = (await record()).entries.find((e) => e.kind === 'ozone-on')
    const othersBack = { kind: 'undone', data: { entry: on?.id ?? '' } } as const
    expect((await enter(display, batch, othersBack)).status, 'what a person entered').toBe(401)
    const off = await enter(display, batch, { kind: 'ozone-off' })
    expect(off.body.entry.who).toEqual({ name: 'not signed yet (display Wall)', how: 'unsigned' })
    expect((await enter(display, batch, { kind: 'flow-off' }, { who: 'Otto' })).status, 'no name').toBe(403)
    const back = { kind: 'undone', data: { entry: off.body.entry.id } } as const
    expect((await enter(display, batch, back)).status, 'its own wrong tap').toBe(200)
  })

  it('is signed afterwards by somebody who proves who they are, once', async () => {
    const { display, batch, record, idOf, server } = await atWork()
    const { body } = await enter(display, batch, { kind: 'ozone-off' })
    const sign = (secret: string, person: string, entry = body.entry.id) =>
      display.post(`/api/entries/${entry}/signature`, { id: uuidv7(), person, secret })
    const otto = await idOf('Otto')
    expect((await display.get<{ entries: EntryView[] }>('/api/unsigned')).body.entries).toHaveLength(1)
    expect((await sign('111222', otto)).status).toBe(401)
    expect((await sign(PIN, uuidv7())).status, 'nobody').toBe(401)
    const on = (await record()).entries.find((e) => e.kind === 'ozone-on')
    expect((await sign(PIN, otto, on?.id)).status, 'not unsigned').toBe(422)
    expect((await sign(PIN, otto)).status).toBe(200)
    expect((await sign(PIN, otto)).status, 'signed already').toBe(422)
    expect((await display.get<{ entries: EntryView[] }>('/api/unsigned')).body.entries).toEqual([])
    const signed = (await record()).entries.find((e) => e.kind === 'signed')
    expect(signed).toMatchObject({ who: { name: 'Otto' }, data: { entry: body.entry.id } })
    // a signature is no deed at the bench: nobody has to look again because of it
    const seq = body.entry.seq
    expect((await enter(display, batch, { kind: 'flow-off' }, { expected_seq: seq })).status).toBe(200)
    expect(verifyChain(server.service.ledger.all()).ok).toBe(true)
  })
})

describe('a review', () => {
  it('needs the secret again, a finished batch and every signature, and covers the head of the record', async () => {
    const { otto, rita, display, batch, record, idOf, server } = await atWork()
    const review = async (secret: string, more = {}) =>
      rita.post<EntryView & Problem>(`/api/batches/${batch}/review`, {
        id: uuidv7(),
        meaning: 'approved',
        secret,
        expected_seq: (await record()).summary.head.seq,
        ...more,
      })
    expect((await review(PASSWORD)).status, 'not discarded').toBe(422)
    const off = await enter(display, batch, { kind: 'ozone-off' })
    for (const kind of ['flow-off', 'discarded'] as const) await enter(otto, batch, { kind })
    expect((await review(PASSWORD)).body.detail).toContain('not signed')
    const signature = { id: uuidv7(), person: await idOf('Otto'), secret: PIN }
    await display.post(`/api/entries/${off.body.entry.id}/signature`, signature)
    expect((await review('wrong')).status).toBe(401)
    expect((await review(PASSWORD, { expected_seq: 1 })).status, 'newer entries unseen').toBe(409)
    expect((await record()).review).toBeNull()
    const head = server.service.ledger.head()
    expect((await review(PIN)).status).toBe(200)
    const expected = {
      meaning: 'approved',
      by: 'Rita',
      ledger_head: head.head,
      changed: false,
      also_worked: false,
    }
    expect((await record()).review).toMatchObject(expected)
    await enter(otto, batch, { kind: 'note', data: { text: 'one more thing' } })
    expect((await record()).review).toMatchObject({ by: 'Rita', changed: true })
    expect((await review(PASSWORD, { meaning: 'reviewed' })).status).toBe(200)
    expect((await record()).review).toMatchObject({ meaning: 'reviewed', changed: false })
  })

  it('says when the reviewer had also worked on the batch, in the entry, the record and in words', async () => {
    const { otto, rita, batch, record } = await atWork()
    for (const kind of ['ozone-off', 'flow-off'] as const) await enter(otto, batch, { kind })
    await enter(rita, batch, { kind: 'discarded' })
    const { status, body } = await rita.post<EntryView>(`/api/batches/${batch}/review`, {
      id: uuidv7(),
      meaning: 'reviewed',
      secret: PASSWORD,
      expected_seq: (await record()).summary.head.seq,
    })
    expect(status).toBe(200)
    expect(body.data['also_worked']).toBe(true)
    expect(entryWords(body)).toMatch(/^reviewed by somebody who also worked on it; covers/)
    const { review } = await record()
    expect(review).toMatchObject({ by: 'Rita', also_worked: true })
    expect(reviewWords(review, siteClock('UTC'))).toMatch(/^Reviewed by Rita, who also worked on the batch, /)
  })
})

it('names what is wrong in 2,000 random bodies at the routes of people and never fails itself', {
  timeout: 300_000,
}, async () => {
  const { server, ada, batch } = await atWork()
  const OURS = /session|sign-in|link|people|displays|signature|review/
  const paths = routesOf(server.service)
    .filter((r) => r.method === 'post' && OURS.test(r.path))
    .map((r) => r.path.replace('batches/{id}', `batches/${batch}`).replace('{id}', uuidv7()))
  expect(paths.length).toBeGreaterThan(12)
  const odd = fc.constantFrom<unknown>(
    '',
    'x',
    '\u0000',
    '\ud800',
    null,
    Number.MAX_VALUE,
    -1,
    [],
    {},
    uuidv7(),
    PIN,
    true,
  )
  const nearly = fc.dictionary(
    fc.constantFrom(
      'id',
      'name',
      'role',
      'password',
      'pin',
      'token',
      'person',
      'secret',
      'current',
      'meaning',
    ),
    odd,
  )
  const body = fc.oneof(
    fc.json(),
    nearly.map((b) => JSON.stringify(b)),
    fc.string({ unit: 'binary' }),
    fc.constantFrom('null', '[]', '{"__proto__":{"name":"x"}}'),
  )
  const before = server.service.people.persons.all().length
  await fc.assert(
    fc.asyncProperty(fc.constantFrom(...paths), body, fc.boolean(), async (path, text, isAda) => {
      const browser = browserAt(server.address, isAda ? new Map(ada.cookies) : new Map())
      const response = await fetch(server.address + path, {
        method: 'POST',
        headers: {
          'content-type': 'application/json',
          cookie: [...browser.cookies].map(([k, v]) => `${k}=${v}`).join('; '),
        },
        body: text,
      })
      expect(response.status, `${path} ${text}`).toBeLessThan(500)
      if (response.status < 400) return
      const problem = (await response.json()) as Problem
      expect(problem.detail).not.toMatch(/SQLITE|node_modules|at .*\.js:\d+/)
    }),
    { numRuns: 2000, seed: 21 },
  )
  expect(server.troubles).toEqual([])
  expect(server.service.people.persons.all()).toHaveLength(before)
})
