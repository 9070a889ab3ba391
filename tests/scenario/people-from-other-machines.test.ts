import { execFileSync } from 'node:child_process'
import { readFileSync, statSync, writeFileSync } from 'node:fs'
import { request } from 'node:https'
import { hostname } from 'node:os'
import { join } from 'node:path'
import { afterEach, describe, expect, it } from 'vitest'
import { makeHome, tcpPort, wiring } from '../support/home.ts'
import { browserAt, PASSWORD, PIN } from '../support/people.ts'
import { endAll, type Program, runPart, runToEnd } from '../support/program.ts'
import { rawRequest } from '../support/raw-http.ts'

afterEach(endAll)

const serve = (home: string, env: NodeJS.ProcessEnv = {}) => runPart(['serve'], { home, env })
const linkIn = (text: string) => /https?:\S+\/welcome#(\S+)/.exec(text)?.[1] ?? ''

/** A home with Ada as administrator; its server is stopped again. */
const setUpHome = async (more = ''): Promise<{ home: string; said: string }> => {
  const home = makeHome(wiring({ port: tcpPort(9) }) + more)
  const server = serve(home)
  const { address } = await server.started()
  await server.says(/welcome#/)
  const browser = browserAt(address)
  const token = linkIn(server.stderr())
  const made = await browser.post('/api/link/use', { token, name: 'Ada', password: PASSWORD, pin: PIN })
  expect(made.status).toBe(200)
  await stop(server)
  return { home, said: server.stdout() + server.stderr() }
}

const stop = async (server: Program): Promise<void> => {
  server.kill('SIGTERM')
  await server.ended()
}

const certificateIn = (home: string): string => {
  const [cert, key] = [join(home, 'cert.pem'), join(home, 'key.pem')]
  const subject = ['-subj', '/CN=localhost', '-addext', 'subjectAltName=DNS:localhost,IP:127.0.0.1']
  execFileSync('openssl', [
    ...['req', '-x509', '-newkey', 'ec', '-pkeyopt', 'ec_paramgen_curve:P-256', '-nodes', '-days', '2'],
    ...['-keyout', key, '-out', cert, ...subject],
  ])
  return readFileSync(cert, 'utf8')
}

interface TlsAnswer {
  readonly status: number
  readonly text: string
  readonly cookies: readonly string[]
}

const overTls = (
  address: string,
  path: string,
  ca: string,
  { host, origin, body }: { host?: string; origin?: string; body?: unknown } = {},
): Promise<TlsAnswer> =>
  new Promise((resolve, reject) => {
    const { port } = new URL(address)
    const asked = request(
      {
        host: '127.0.0.1',
        port,
        path,
        ca,
        servername: 'localhost',
        method: body === undefined ? 'GET' : 'POST',
        headers: {
          host: host ?? `127.0.0.1:${port}`,
          ...(origin === undefined ? {} : { origin }),
          ...(body === undefined ? {} : { 'content-type': 'application/json' }),
        },
      },
      (answer) => {
        let text = ''
        answer.setEncoding('utf8').on('data', (chunk: string) => {
          text += chunk
        })
        answer.on('end', () =>
          resolve({ status: answer.statusCode ?? 0, text, cookies: answer.headers['set-cookie'] ?? [] }),
        )
      },
    )
    asked.on('error', reject)
    asked.end(body === undefined ? undefined : JSON.stringify(body))
  })

describe('a server that other machines could reach', () => {
  it('does not start without TLS, nor behind a proxy before people are set up, and says what to do', async () => {
    const { home } = await setUpHome()
    const bare = serve(home, { HOST: '0.0.0.0' })
    expect((await bare.ended()).code).toBe(2)
    expect(bare.stderr()).toContain('HOST 0.0.0.0 needs TLS')
    const fresh = makeHome(`${wiring({ port: tcpPort(9) })}web: { behind_proxy: true }\n`)
    const proxied = serve(fresh)
    expect((await proxied.ended()).code).toBe(2)
    expect(proxied.stderr()).toContain('nobody can sign in yet')
  })

  it('serves over TLS with people set up: under its own names only, with cookies that need TLS', async () => {
    const { home } = await setUpHome()
    const ca = certificateIn(home)
    const yaml = `${wiring({ port: tcpPort(9) })}web: { tls: { cert: cert.pem, key: key.pem }, names: [bench.example] }\n`
    writeFileSync(join(home, 'spargewatch.yaml'), yaml)
    const server = serve(home, { HOST: '0.0.0.0' })
    const { address } = await server.started()
    expect(address).toMatch(/^https:/)
    const { port } = new URL(address)
    for (const host of ['bench.example', hostname(), 'localhost'])
      expect((await overTls(address, '/api/health', ca, { host: `${host}:${port}` })).status, host).toBe(200)
    expect((await overTls(address, '/api/health', ca, { host: 'evil.example' })).status).toBe(403)
    const body = { name: 'Ada', password: PASSWORD }
    const own = `https://127.0.0.1:${port}`
    const plain = `http://127.0.0.1:${port}`
    expect((await overTls(address, '/api/sign-in', ca, { body, origin: plain })).status).toBe(403)
    const signedIn = await overTls(address, '/api/sign-in', ca, { body, origin: own })
    expect(signedIn.status, signedIn.text).toBe(200)
    expect(signedIn.cookies[0]).toMatch(/HttpOnly; SameSite=Strict; Secure$/)
    expect(JSON.parse((await overTls(address, '/api/health', ca)).text)).toEqual({
      status: expect.any(String),
    })
    expect((await overTls(address, '/api/benches', ca)).status).toBe(401)
  })

  it('counts wrong tries behind a proxy by the address the proxy tells', async () => {
    const { home } = await setUpHome()
    writeFileSync(
      join(home, 'spargewatch.yaml'),
      `${wiring({ port: tcpPort(9) })}web: { behind_proxy: true }\n`,
    )
    const { address } = await serve(home).started()
    const attempt = (from: string, name: string) =>
      rawRequest(address, '/api/sign-in', {
        method: 'POST',
        headers: { 'content-type': 'application/json', 'x-forwarded-for': `203.0.113.77, ${from}` },
        body: JSON.stringify({ name, password: 'wrong' }),
      })
    for (let i = 0; i < 19; i++) expect((await attempt('203.0.113.1', `n${i}`)).status).toBe(401)
    expect((await attempt('203.0.113.1', 'n19')).status).toBe(429)
    expect((await attempt('203.0.113.2', 'n20')).status, 'another address').toBe(401)
  })
})

describe('a lost administrator password', () => {
  it('is replaced by a link made on the machine, while the program runs', async () => {
    const { home } = await setUpHome()
    const server = serve(home)
    const { address } = await server.started()
    const nobody = await runToEnd(['people', 'reset', 'Bob'], { home })
    expect(nobody.code).toBe(2)
    expect(nobody.stderr).toContain('Ada')
    const { code, stdout } = await runToEnd(['people', 'reset', 'ada'], { home })
    expect(code).toBe(0)
    const browser = browserAt(address)
    const wanted = { token: linkIn(stdout), password: 'another four words here' }
    expect((await browser.post('/api/link/use', wanted)).status).toBe(200)
    expect((await browser.get('/api/people')).status).toBe(200)
    expect((await browserAt(address).post('/api/sign-in', { name: 'Ada', password: PASSWORD })).status).toBe(
      401,
    )
    expect((await runToEnd(['ledger', 'verify'], { home })).code).toBe(0)
  })
})

describe('files and log', () => {
  it('keep secrets out of the log and other people out of the file', async () => {
    const { home, said } = await setUpHome()
    expect(statSync(join(home, 'people.db')).mode & 0o777).toBe(0o600)
    const server = serve(home)
    const { address } = await server.started()
    const browser = browserAt(address)
    await browser.post('/api/sign-in', { name: 'Ada', password: PASSWORD })
    await browser.post('/api/sign-in', { name: 'Ada', password: 'a wrong one typed' })
    const json = { method: 'POST', headers: { 'content-type': 'application/json' } }
    await rawRequest(address, '/api/sign-in', { ...json, body: `{"password":"${PASSWORD}"` })
    expect(server.stderr(), 'no link once somebody is set up').not.toContain('welcome#')
    await stop(server)
    const all = said + server.stdout() + server.stderr()
    for (const secret of [PASSWORD, PIN, 'a wrong one typed', ...browser.cookies.values()])
      expect(all).not.toContain(secret)
  })

  it('come back from a back-up with everybody, and with nobody signed in', async () => {
    const { home } = await setUpHome()
    // the daemon's file, which a back-up needs
    const daemon = runPart(['daemon'], { home })
    await daemon.started()
    await stop(daemon)
    const folder = join(home, 'back-up')
    expect((await runToEnd(['backup', folder], { home })).stderr).toBe('')
    const restored = join(home, 'restored')
    expect((await runToEnd(['restore', folder], { home: restored })).code).toBe(0)
    const { address } = await serve(restored).started()
    const browser = browserAt(address)
    expect((await browser.get('/api/benches')).status).toBe(401)
    expect((await browser.post('/api/sign-in', { name: 'Ada', password: PASSWORD })).status).toBe(200)
  })
})
