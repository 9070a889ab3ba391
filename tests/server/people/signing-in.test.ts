import { readFileSync } from 'node:fs'
import { join } from 'node:path'
import { v7 as uuidv7 } from 'uuid'
import { describe, expect, it } from 'vitest'
import { LINK_MS } from '../../../server/people/link.ts'
import type { SessionView } from '../../../server/wire.ts'
import {
  browserAt,
  invitePerson,
  PASSWORD,
  PIN,
  setUpAdministrator,
  startPeopleServer,
  type TestBrowser,
} from '../../support/people.ts'

const signIn = (browser: TestBrowser, name: string, password = PASSWORD) =>
  browser.post('/api/sign-in', { name, password })
const personIn = async (browser: TestBrowser) => (await browser.get<SessionView>('/api/session')).body.person
const kinds = async (administrator: TestBrowser): Promise<string[]> => {
  const { body } = await administrator.get<{ entries: { kind: string }[] }>('/api/people/history')
  return body.entries.map((e) => e.kind)
}

describe('the first administrator', () => {
  it('is made by the link, once, within its hour', async () => {
    const server = await startPeopleServer()
    const { links } = server.service.people
    const first = links.make(null, LINK_MS)
    const { token } = links.make(null, LINK_MS)
    const browser = browserAt(server.address)
    const use = (with_: string, more = {}) =>
      browser.post('/api/link/use', { token: with_, name: 'Ada', password: PASSWORD, ...more })
    expect((await use(first.token)).status, 'replaced by a newer one').toBe(404)
    expect((await use('x'.repeat(43))).status, 'forged').toBe(404)
    expect((await use(token, { password: 'short' })).status).toBe(400)
    expect((await use(token, { pin: '123456' })).status).toBe(400)
    server.advance(LINK_MS)
    expect((await use(token)).status, 'over').toBe(404)
    const newer = links.make(null, LINK_MS)
    expect((await use(newer.token)).status).toBe(200)
    expect((await use(newer.token)).status, 'used already').toBe(404)
    expect((await personIn(browser))?.role).toBe('administrator')
    expect((await use(links.make(null, LINK_MS).token, { name: 'Eve' })).status, 'there is one now').toBe(404)
  })

  it('leaves no secret in the file, the record or an answer', async () => {
    const server = await startPeopleServer()
    const administrator = await setUpAdministrator(server)
    const { browser } = await invitePerson(server, administrator, 'Otto', 'operator')
    const answers = await Promise.all(
      ['/api/people', '/api/people/history', '/api/session', '/api/health'].map((p) => administrator.get(p)),
    )
    server.service.people.parts.db.pragma('wal_checkpoint(TRUNCATE)')
    server.service.ledger.db.pragma('wal_checkpoint(TRUNCATE)')
    const files = ['people.db', 'ledger.db'].map((f) => readFileSync(join(server.home, f), 'latin1'))
    const tokens = [...administrator.cookies.values(), ...browser.cookies.values()]
    for (const secret of [PASSWORD, PIN, ...tokens])
      for (const text of [...files, ...answers.map((a) => JSON.stringify(a.body))])
        expect(text).not.toContain(secret)
    expect(files[1]).not.toContain('scrypt')
  })
})

describe('wrong tries', () => {
  it('get one answer for nobody, a wrong password and a deactivated person', async () => {
    const server = await startPeopleServer()
    const administrator = await setUpAdministrator(server)
    const { id } = await invitePerson(server, administrator, 'Otto', 'operator')
    await administrator.post(`/api/people/${id}/activity`, { active: false })
    const browser = browserAt(server.address)
    const answers = await Promise.all([
      signIn(browser, 'Nobody'),
      signIn(browser, 'Ada', 'wrong'),
      signIn(browser, 'Otto'),
    ])
    expect(new Set(answers.map((a) => `${a.status} ${JSON.stringify(a.body)}`)).size).toBe(1)
    expect(answers[0]?.status).toBe(401)
  })

  it('make the next one wait, longer each time, also the right one; each lock-out is one entry', async () => {
    const server = await startPeopleServer()
    const administrator = await setUpAdministrator(server)
    const browser = browserAt(server.address)
    const waits: string[] = []
    for (let i = 0; i < 4; i++) expect((await signIn(browser, 'Ada', 'wrong')).status).toBe(401)
    for (let i = 0; i < 6; i++) {
      const { status, headers } = await signIn(browser, 'Ada', 'wrong')
      expect(status).toBe(429)
      waits.push(headers.get('retry-after') ?? '')
      expect((await signIn(browser, 'Ada')).status, 'the right one waits too').toBe(429)
      server.advance(Number(waits.at(-1)) * 1000)
    }
    expect(waits).toEqual(['30', '60', '120', '240', '480', '900'])
    expect((await signIn(browser, 'Ada')).status).toBe(200)
    await signIn(administrator, 'Ada')
    const history = await kinds(administrator)
    expect(history.filter((kind) => kind === 'people-locked-out')).toHaveLength(6)
    expect((await signIn(browser, 'Ada', 'wrong')).status, 'forgotten after the right one').toBe(401)
  })

  it('gain nothing by being many at once', async () => {
    const server = await startPeopleServer()
    await setUpAdministrator(server)
    const browser = browserAt(server.address)
    const answers = await Promise.all(Array.from({ length: 12 }, () => signIn(browser, 'Ada', 'wrong')))
    expect(answers.filter((a) => a.status === 401)).toHaveLength(4)
    expect(answers.filter((a) => a.status === 429)).toHaveLength(8)
  })

  it('from one address count whoever they are for; the name of nobody is not recorded', async () => {
    const server = await startPeopleServer()
    const administrator = await setUpAdministrator(server)
    const browser = browserAt(server.address)
    for (let i = 0; i < 19; i++) expect((await signIn(browser, `Nobody ${i}`, 'wrong')).status).toBe(401)
    expect((await signIn(browser, 'hunter2 my password', 'wrong')).status).toBe(429)
    expect((await signIn(browser, 'Ada')).status).toBe(429)
    const { body } = await administrator.get('/api/people/history')
    expect(JSON.stringify(body)).not.toContain('hunter2')
    expect(await kinds(administrator)).toContain('people-locked-out')
  })
})

describe('what happened with people', () => {
  it('is told a page at a time, newest first, none twice and none left out', async () => {
    const server = await startPeopleServer()
    const administrator = await setUpAdministrator(server)
    for (let i = 0; i < 7; i++) await signIn(browserAt(server.address), 'Ada')
    const page = async (query: string) =>
      (
        await administrator.get<{ entries: { seq: number }[] }>(`/api/people/history${query}`)
      ).body.entries.map((e) => e.seq)
    const all = await page('')
    expect(all.length).toBeGreaterThanOrEqual(8)
    const paged: number[] = []
    for (
      let next = await page('?limit=3');
      next.length > 0;
      next = await page(`?limit=3&before=${paged.at(-1)}`)
    ) {
      expect(next.length).toBeLessThanOrEqual(3)
      paged.push(...next)
    }
    expect(paged).toEqual(all)
    expect((await administrator.get('/api/people/history?limit=0')).status).toBe(400)
  })
})

describe('looking after people', () => {
  it('never leaves nobody who could', async () => {
    const server = await startPeopleServer()
    const administrator = await setUpAdministrator(server)
    const id = server.service.people.persons.byName('Ada')?.id
    expect((await administrator.post(`/api/people/${id}/role`, { role: 'viewer' })).status).toBe(422)
    expect((await administrator.post(`/api/people/${id}/activity`, { active: false })).status).toBe(422)
    expect((await administrator.get('/api/people')).status).toBe(200)
  })

  it('takes no name twice, however it is spelt, nor one of the program itself', async () => {
    const server = await startPeopleServer()
    const administrator = await setUpAdministrator(server)
    const add = (name: string) => administrator.post('/api/people', { id: uuidv7(), name, role: 'viewer' })
    expect((await add('ADA ')).status).toBe(409)
    expect((await add('Ａda')).status, 'full-width letters').toBe(409)
    expect((await add('Spargewatch')).status).toBe(400)
    expect((await add('Not signed yet (display Wall)')).status).toBe(400)
  })

  it('lets everybody change their own password and PIN, with the present password', async () => {
    const server = await startPeopleServer()
    const administrator = await setUpAdministrator(server)
    const { browser: vera } = await invitePerson(server, administrator, 'Vera', 'viewer')
    const other = browserAt(server.address)
    await signIn(other, 'Vera')
    const password = 'a newer better phrase'
    const change = (current: string) => vera.post('/api/session/password', { current, password })
    expect((await change('wrong')).status).toBe(401)
    expect((await change(PASSWORD)).status).toBe(200)
    expect((await other.get('/api/benches')).status, 'other sessions end').toBe(401)
    expect((await vera.get('/api/benches')).status, 'this one goes on').toBe(200)
    expect((await signIn(other, 'Vera')).status).toBe(401)
    expect((await signIn(other, 'Vera', password)).status).toBe(200)
    expect((await vera.post('/api/session/pin', { current: password, pin: '654321' })).status).toBe(400)
    expect((await vera.post('/api/session/pin', { current: password, pin: '271828' })).status).toBe(200)
  })
})
