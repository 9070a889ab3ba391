import { spawnSync } from 'node:child_process'
import { describe, expect, it } from 'vitest'
import { signatureOf } from '../../../server/notify/signature.ts'
import { postSigned } from '../../../server/notify/webhook.ts'
import { type Answer, type Recorded, recordHttp } from '../../support/http-recorder.ts'

const NOW_MS = Date.parse('2026-03-14T09:00:00Z')
const SECRET = '0123456789abcdef'
const hasOpenssl = spawnSync('openssl', ['version']).status === 0

const answered = async (answer: Answer) => {
  const http = await recordHttp(() => answer)
  const body = { text: 'below 15 µg/mL' }
  const outcome = await postSigned({
    url: `${http.url}/a?room=2`,
    secret: SECRET,
    id: 'one',
    body,
    nowMs: NOW_MS,
  })
  return { outcome, request: http.requests[0] as Recorded }
}

describe('a signed message', () => {
  it('goes as JSON with its id, the time and a signature over time and body', async () => {
    const { outcome, request } = await answered({ status: 200, body: 'thanks' })
    expect(outcome).toEqual({ kind: 'delivered', words: null })
    expect(request).toMatchObject({
      method: 'POST',
      path: '/a',
      query: { room: '2' },
      body: '{"text":"below 15 µg/mL"}',
      headers: {
        'content-type': 'application/json',
        'idempotency-key': 'one',
        'spargewatch-timestamp': String(NOW_MS / 1000),
      },
    })
    expect(request.headers['spargewatch-signature']).toBe(
      `v1=${signatureOf(SECRET, NOW_MS / 1000, request.body)}`,
    )
  })

  it.skipIf(!hasOpenssl)('can be checked with another program than this one', () => {
    const signed = (input: string) =>
      spawnSync('openssl', ['dgst', '-sha256', '-hmac', SECRET], { input, encoding: 'utf8' })
        .stdout.trim()
        .split(' ')
        .at(-1)
    const body = '{"text":"below 15 µg/mL"}'
    expect(signatureOf(SECRET, 1_773_478_800, body)).toBe(signed(`1773478800.${body}`))
    expect(signatureOf(SECRET, 1_773_478_801, body)).not.toBe(signed(`1773478800.${body}`))
  })

  it.each([
    [200, 'delivered'],
    [204, 'delivered'],
    [302, 'refused'],
    [400, 'refused'],
    [401, 'refused'],
    [404, 'refused'],
    [410, 'refused'],
    [408, 'unreachable'],
    [425, 'unreachable'],
    [429, 'unreachable'],
    [500, 'unreachable'],
    [503, 'unreachable'],
  ] as const)('that is answered with %s is %s', async (status, kind) => {
    const { outcome } = await answered({ status, headers: { location: '/elsewhere' }, body: '' })
    expect(outcome.kind).toBe(kind)
  })

  it.each([
    ['120', 120_000],
    [new Date(NOW_MS + 30_000).toUTCString(), 30_000],
    ['999999', 3_600_000],
    [new Date(NOW_MS - 5000).toUTCString(), 0],
    ['soon', 0],
  ])('waits as long as it is asked to, an hour at most: %s', async (header, retryAfterMs) => {
    const { outcome } = await answered({ status: 429, headers: { 'retry-after': header } })
    expect(outcome).toMatchObject({ kind: 'unreachable', retryAfterMs })
  })

  it('keeps a few words of a long answer', async () => {
    const { outcome } = await answered({ status: 422, body: `no\n  room ${'x'.repeat(100_000)}` })
    expect(outcome).toMatchObject({
      kind: 'refused',
      why: expect.stringMatching(/^it answered 422: no room x{200,300}$/),
    })
  })

  it('says in plain words that nobody answers', async () => {
    const http = await recordHttp(() => null)
    await http.down()
    const outcome = await postSigned({ url: http.url, secret: SECRET, id: 'one', body: {}, nowMs: NOW_MS })
    expect(outcome).toMatchObject({
      kind: 'unreachable',
      why: expect.stringMatching(/^nothing answers there \(connection refused\): .*ECONNREFUSED/),
    })
  })
})
