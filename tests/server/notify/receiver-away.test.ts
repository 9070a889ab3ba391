import { describe, expect, it } from 'vitest'
import { toldElsewhere, webhookTo } from '../../support/told-elsewhere.ts'

const TAKEN = { status: 204 }
const BUSY = { status: 503 }

describe('a receiver that is away', () => {
  const PAUSES_S = [0.5, 1, 2, 4, 8, 16, 32, 60, 60]

  it('is tried with growing pauses of at most a minute, then told late, once, with the same id', async () => {
    let up = false
    const site = await toldElsewhere(() => (up ? TAKEN : BUSY))
    await site.begin()
    const raised = site.raises()
    await site.look()
    for (const pause of PAUSES_S) {
      const tries = site.http.requests.length
      site.clock.pass(pause * 0.79)
      await site.look()
      expect(site.http.requests).toHaveLength(tries)
      site.clock.pass(pause * 0.22)
      await site.look()
      expect(site.http.requests).toHaveLength(tries + 1)
    }
    up = true
    site.clock.pass(61)
    await site.look()
    await site.look()
    expect(site.http.requests).toHaveLength(PAUSES_S.length + 2)
    expect(new Set(site.http.requests.map(({ headers }) => headers['idempotency-key'])).size).toBe(1)
    const last = site.got().at(-1)
    expect(last).toMatchObject({ what: 'raised', raised_at: raised.happened_at })
    expect(last?.late_s).toBeGreaterThan(180)
    expect(site.states()).toEqual([['raised', 'delivered', PAUSES_S.length + 2]])
  })

  it('is told of an alarm that is over meanwhile as that, in one message, and not as of a new one', async () => {
    let up = false
    const site = await toldElsewhere(() => (up ? TAKEN : BUSY))
    await site.begin()
    const raised = site.raises()
    await site.look()
    site.clock.pass(1800)
    await site.look()
    const ended = site.returns()
    await site.look()
    const before = site.got().length
    up = true
    site.clock.pass(1800)
    await site.look()
    await site.look()
    expect(site.got().slice(before)).toMatchObject([
      { what: 'raised-and-over', raised_at: raised.happened_at, over_at: ended.happened_at, late_s: 1800 },
    ])
    expect(site.states()).toEqual([
      ['raised', 'not-needed', 2],
      ['returned', 'delivered', expect.any(Number)],
    ])
  })

  it('holds up nobody else', async () => {
    const site = await toldElsewhere(
      ({ path }) => (path === '/away' ? BUSY : TAKEN),
      (url) => ({
        receivers: [webhookTo(`${url}/away`, { name: 'away' }), webhookTo(`${url}/there`, { name: 'there' })],
      }),
    )
    await site.begin()
    site.raises()
    site.raises({ alarm: 'disk-nearly-full' })
    await site.look()
    expect(site.http.requests.filter(({ path }) => path === '/there')).toHaveLength(2)
    expect(site.http.requests.filter(({ path }) => path === '/away')).toHaveLength(1)
    expect(site.notifier().seen()).toMatchObject([
      { receivers: ['away'], state: 'waiting', why: 'it answered 503' },
      { receivers: ['there'], state: 'working', why: null },
    ])
  })

  it('gets the next message after one that it refuses for good', async () => {
    const site = await toldElsewhere(({ body }) =>
      body.includes('disk-nearly-full') ? TAKEN : { status: 400, body: 'no such room' },
    )
    await site.begin()
    site.raises()
    site.raises({ alarm: 'disk-nearly-full' })
    await site.look()
    site.clock.pass(7200)
    await site.look()
    expect(site.states()).toEqual([
      ['raised', 'refused', 1],
      ['raised', 'delivered', 1],
    ])
    expect(site.file.newest(10).at(-1)?.words).toBe('it answered 400: no such room')
  })

  it('is given up after three days, with the last words it had', async () => {
    const site = await toldElsewhere(() => BUSY)
    await site.begin()
    site.raises()
    await site.look()
    site.clock.pass(72 * 3600 - 1)
    await site.look()
    expect(site.states()).toEqual([['raised', 'waiting', 2]])
    site.clock.pass(62)
    await site.look()
    expect(site.states()).toEqual([['raised', 'gave-up', 3]])
  })
})
