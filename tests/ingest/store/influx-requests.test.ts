import { describe, expect, it } from 'vitest'
import type { InfluxTarget } from '../../../ingest/config-influx.ts'
import type { InfluxCredentials } from '../../../ingest/influx-secrets.ts'
import type { Reading } from '../../../ingest/reading/reading.ts'
import { connectInflux } from '../../../ingest/store/influx-connection.ts'
import { lineOf } from '../../../ingest/store/influx-line.ts'
import { InfluxStore } from '../../../ingest/store/influx-store.ts'
import { timeUs } from '../../../ingest/units.ts'
import { type Answer, type Recorded, recordHttp } from '../../support/http-recorder.ts'

/**
 * The wire formats of 2.x and 3.x as InfluxData documents them. No live server of these versions was ever asked.
 * 2.x: docs.influxdata.com/influxdb/v2/write-data/troubleshoot (204, 400, 413, 422 beyond retention) and
 * /v2/reference/api/influxdb-1x (`/query`, Token). 3.x: /influxdb3/core/write-data/http-api/compatibility-apis
 * (`/api/v2/write?bucket=`) and /influxdb3/core/api/authentication (Bearer on all endpoints).
 */
const target = (url: string, version: 1 | 2 | 3): InfluxTarget => ({
  url,
  version,
  database: version === 2 ? 'ozone-dbrp' : 'ozone',
  bucket: version === 2 ? { org: 'the clinic', bucket: 'ozone & more' } : null,
  caFile: null,
  secretsFile: '',
})
const reading: Reading = {
  series: { bench: 'bench A', instrument: 'meter-a', channel: 'dissolved-ozone' },
  seq: 7,
  timeUs: timeUs(1_789_000_000_123_456),
  bootId: 'boot "1"',
  monoMs: 12.5,
  raw: 18,
  value: null,
  quality: 'fault',
  movedUs: 3,
}
const TOKEN: InfluxCredentials = { kind: 'token', token: 'tok-en==' }
const LINE =
  'reading,bench=bench\\ A,channel=dissolved-ozone,instrument=meter-a,site=Clinic\\,\\ one\\=1 ' +
  'boot_id="boot \\"1\\"",mono_ms=12.5,moved_us=3i,quality="fault",raw=18,seq=7i 1789000000123456'

const written = async (
  version: 1 | 2 | 3,
  answer: Answer,
  credentials: InfluxCredentials = TOKEN,
  lines = 1,
) => {
  const { url, requests } = await recordHttp(() => answer)
  const line = lineOf('Clinic, one=1', reading) ?? ''
  const outcome = await connectInflux(target(url, version), credentials).write(Array(lines).fill(line))
  return { outcome, requests, request: requests[0] as Recorded }
}

describe('what goes over the wire', () => {
  it('is one line for each reading: floats without i, whole numbers with it, no value where there is none', () => {
    expect(lineOf('Clinic, one=1', reading)).toBe(LINE)
    expect(lineOf('S', { ...reading, value: 1e21 })).toContain(',value=1e+21 ')
  })

  it('writes to a bucket of an organisation on 2.x, in microseconds spelt us, with its token', async () => {
    const { outcome, request } = await written(2, { status: 204 })
    expect(outcome).toEqual({ kind: 'acknowledged' })
    expect(request).toMatchObject({
      method: 'POST',
      path: '/api/v2/write',
      query: { org: 'the clinic', bucket: 'ozone & more', precision: 'us' },
      body: LINE,
    })
    expect(request.headers.authorization).toBe('Token tok-en==')
    expect(request.headers['content-type']).toBe('text/plain; charset=utf-8')
  })

  it('writes to a database through the endpoint that every 3.x serves', async () => {
    const { request } = await written(3, { status: 204 })
    expect(request).toMatchObject({
      path: '/api/v2/write',
      query: { bucket: 'ozone', precision: 'us' },
      body: LINE,
    })
    expect(request.headers.authorization).toBe('Bearer tok-en==')
  })

  it('writes to a database on 1.x, in microseconds spelt u, with user and password', async () => {
    const { request } = await written(
      1,
      { status: 204 },
      { kind: 'password', user: 'ozone', password: 'p:w' },
    )
    expect(request).toMatchObject({ path: '/write', query: { db: 'ozone', precision: 'u' }, body: LINE })
    const basic = String(request.headers.authorization).replace(/^Basic /, '')
    expect(Buffer.from(basic, 'base64').toString()).toBe('ozone:p:w')
  })

  it('compresses a large batch, and nothing of it is lost by that', async () => {
    const { request } = await written(2, { status: 204 }, TOKEN, 500)
    expect(request.headers['content-encoding']).toBe('gzip')
    expect(request.body.split('\n')).toEqual(Array(500).fill(LINE))
  })

  it.each([2, 3] as const)('reads with InfluxQL over /query on %i.x', async (version) => {
    const columns = ['time', 'seq', 'value', 'raw', 'quality', 'boot_id', 'mono_ms', 'moved_us']
    const values = [[reading.timeUs, 7, null, 18, 'fault', 'boot "1"', 12.5, 3]]
    const { url, requests } = await recordHttp(() => ({
      status: 200,
      headers: { 'content-type': 'application/json' },
      body: JSON.stringify({
        results: [{ statement_id: 0, series: [{ name: 'reading', columns, values }] }],
      }),
    }))
    const connection = connectInflux(target(url, version), TOKEN)
    const store = new InfluxStore({ connection, site: "the 'new' one" })
    expect(await store.range(reading.series, timeUs(0), timeUs(2e15))).toEqual([reading])
    const [request] = requests
    expect(request).toMatchObject({
      method: 'GET',
      path: '/query',
      query: { db: version === 2 ? 'ozone-dbrp' : 'ozone', epoch: 'u' },
    })
    expect(request?.query['q']).toContain(
      "WHERE site = 'the \\'new\\' one' AND bench = 'bench A' AND instrument = 'meter-a' AND channel = 'dissolved-ozone' AND time >= 0u AND time < 2000000000000000u",
    )
    expect(request?.headers.authorization).toBe(version === 2 ? 'Token tok-en==' : 'Bearer tok-en==')
  })
})

const json = (status: number, body: object, headers: Record<string, string> = {}): Answer => ({
  status,
  headers: { 'content-type': 'application/json', ...headers },
  body: JSON.stringify(body),
})

describe('what an answer to a write means', () => {
  it('refused: 400, 413 and 422, in the server’s words', async () => {
    const beyond = json(422, {
      code: 'unprocessable entity',
      message: 'failure writing points: partial write: points beyond retention policy dropped=1',
    })
    expect((await written(2, beyond)).outcome).toEqual({
      kind: 'refused',
      words: '422: failure writing points: partial write: points beyond retention policy dropped=1',
      all: true,
    })
    expect(
      (await written(3, json(400, { error: 'partial write of line protocol occurred' }))).outcome,
    ).toEqual({
      kind: 'refused',
      words: '400: partial write of line protocol occurred',
      all: false,
    })
    expect((await written(2, { status: 413 })).outcome.kind).toBe('refused')
  })

  it('refused in part: a 201 of 3.x is no acknowledgement', async () => {
    const { outcome } = await written(3, { status: 201, body: 'line 1: no' })
    expect(outcome).toEqual({ kind: 'refused', words: 'line 1: no', all: false })
  })

  it.each([408, 429, 500, 502, 503, 504])('again later: %i', async (status) => {
    expect((await written(2, { status })).outcome.kind).toBe('unreachable')
  })

  it('again later, and not before the server asks for it', async () => {
    const { outcome } = await written(2, { status: 503, headers: { 'retry-after': '17' } })
    expect(outcome).toMatchObject({ kind: 'unreachable', retryAfterMs: 17_000 })
    const inTenSeconds = new Date(Date.now() + 10_000).toUTCString()
    const dated = await written(2, { status: 429, headers: { 'retry-after': inTenSeconds } })
    expect(dated.outcome).toMatchObject({ kind: 'unreachable', retryAfterMs: expect.closeTo(9500, -4) })
  })

  it('again later: any other success, a page of a proxy say, acknowledges nothing', async () => {
    const { outcome } = await written(2, { status: 200, body: '<html>log in</html>' })
    expect(outcome.kind).toBe('unreachable')
  })

  it('again later: nobody there', async () => {
    const outcome = await connectInflux(target('http://127.0.0.1:1', 3), TOKEN).write([LINE])
    expect(outcome).toMatchObject({ kind: 'unreachable' })
  })

  it.each([401, 403, 404])(
    'not let in: %i, and a secret that the server repeats is not passed on',
    async (status) => {
      const { outcome } = await written(2, json(status, { message: 'token tok-en== is not known' }))
      expect(outcome).toEqual({ kind: 'not-let-in', why: `${status}: token (secret) is not known` })
    },
  )

  it('a query that fails says why, without the secret', async () => {
    const { url } = await recordHttp(() => json(401, { error: 'tok-en== may not read' }))
    const query = connectInflux(target(url, 3), TOKEN).query('SELECT 1')
    await expect(query).rejects.toThrow('did not answer a query: (secret) may not read')
  })
})
