import { v7 as uuidv7 } from 'uuid'
import { describe, expect, it } from 'vitest'
import type { SessionView } from '../../../server/wire.ts'
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

const MINUTE = 60_000

const signIn = (browser: TestBrowser, name: string, password = PASSWORD) =>
  browser.post('/api/sign-in', { name, password })
const personIn = async (browser: TestBrowser) => (await browser.get<SessionView>('/api/session')).body.person

describe('a session', () => {
  it('sets a cookie that no script and no other site gets', async () => {
    const server = await startPeopleServer()
    await setUpAdministrator(server)
    const { headers } = await signIn(browserAt(server.address), 'ada')
    expect(headers.getSetCookie()).toEqual([
      expect.stringMatching(
        /^spargewatch-session=[\w-]{43}; Path=\/; Max-Age=43200; HttpOnly; SameSite=Strict$/,
      ),
    ])
  })

  it('may look on and not act after half an hour without a sign of the person, and ends after twelve', async () => {
    const server = await startPeopleServer()
    const administrator = await setUpAdministrator(server)
    server.advance(29 * MINUTE)
    expect((await administrator.post('/api/session/here')).status).toBe(200)
    server.advance(29 * MINUTE)
    expect((await administrator.get('/api/people')).status).toBe(200)
    server.advance(2 * MINUTE)
    expect((await administrator.get('/api/people')).status).toBe(401)
    expect((await administrator.get('/api/benches')).status).toBe(200)
    expect((await administrator.post('/api/session/here')).status).toBe(200)
    expect((await personIn(administrator))?.idle, 'a late sign of life brings nothing back').toBe(true)
    await signIn(administrator, 'Ada')
    expect((await administrator.get('/api/people')).status).toBe(200)
    server.advance(12 * 3600_000)
    expect((await administrator.get('/api/benches')).status).toBe(401)
  })

  it('ends at sign-out: the same cookie sent again opens nothing', async () => {
    const server = await startPeopleServer()
    const administrator = await setUpAdministrator(server)
    const kept = browserAt(server.address, new Map(administrator.cookies))
    expect((await administrator.post('/api/sign-out')).status).toBe(200)
    expect((await kept.get('/api/benches')).status).toBe(401)
    expect((await administrator.get('/api/benches')).status).toBe(401)
  })

  it('ends with another role, a deactivation, a used link, and when the clock is set back', async () => {
    const server = await startPeopleServer()
    const administrator = await setUpAdministrator(server)
    const { browser: otto, id } = await invitePerson(server, administrator, 'Otto', 'operator')
    await administrator.post(`/api/people/${id}/role`, { role: 'reviewer' })
    expect((await otto.get('/api/benches')).status).toBe(401)
    await signIn(otto, 'Otto')
    await administrator.post(`/api/people/${id}/activity`, { active: false })
    expect((await otto.get('/api/benches')).status).toBe(401)
    expect((await signIn(otto, 'Otto')).status).toBe(401)
    await administrator.post(`/api/people/${id}/activity`, { active: true })
    expect((await signIn(otto, 'Otto')).status).toBe(200)
    server.advance(-2 * MINUTE)
    expect((await otto.get('/api/benches')).status).toBe(401)
  })

  it('is refused from another site, and a form of another type posts nothing', async () => {
    const server = await startPeopleServer()
    const administrator = await setUpAdministrator(server)
    const person = { id: uuidv7(), name: 'Eve', role: 'administrator' }
    const foreign = await administrator.ask('POST', '/api/people', person, { origin: 'http://evil.example' })
    expect(foreign.status).toBe(403)
    const asText = await administrator.ask('POST', '/api/people', person, { 'content-type': 'text/plain' })
    expect(asText.status).toBe(400)
    expect(server.service.people.persons.byName('Eve')).toBeUndefined()
  })
})

describe('a shared display', () => {
  it('shows for ever, also after the administrator is gone, until it is revoked', async () => {
    const server = await startPeopleServer()
    const administrator = await setUpAdministrator(server)
    const display = await pairDisplay(server)
    expect((await display.get<SessionView>('/api/session')).body).toMatchObject({
      person: null,
      display: { name: 'Wall', people: [{ name: 'Ada' }] },
    })
    server.advance(300 * 86_400_000)
    expect((await display.get('/api/benches')).status).toBe(200)
    await signIn(administrator, 'Ada')
    const { body } = await administrator.get<{ id: string }[]>('/api/displays')
    await administrator.post(`/api/displays/${body[0]?.id}/revocation`)
    expect((await display.get('/api/benches')).status).toBe(401)
  })

  it('lets a person act with a PIN for ten minutes, less than with a password, and only there', async () => {
    const server = await startPeopleServer()
    await setUpAdministrator(server)
    const display = await pairDisplay(server)
    const { body } = await display.get<SessionView>('/api/session')
    const person = body.display?.people[0]?.id ?? ''
    expect((await display.post('/api/sign-in/pin', { person, pin: '111222' })).status).toBe(401)
    expect((await display.post('/api/sign-in/pin', { person, pin: PIN })).status).toBe(200)
    expect((await display.get('/api/people')).status, 'people need the password').toBe(403)
    const elsewhere = browserAt(server.address, new Map(display.cookies))
    elsewhere.cookies.delete('spargewatch-display')
    expect((await elsewhere.get('/api/benches')).status, 'a PIN session taken elsewhere').toBe(401)
    server.advance(10 * MINUTE)
    expect(await personIn(display)).toBeNull()
    expect((await display.get('/api/benches')).status).toBe(200)
  })
})
