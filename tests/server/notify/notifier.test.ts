import { describe, expect, it } from 'vitest'
import { toldElsewhere, webhookTo } from '../../support/told-elsewhere.ts'
import { until } from '../../support/until.ts'

const TAKEN = { status: 204 }
const BUSY = { status: 503 }

describe('an alarm told elsewhere', () => {
  it('says what, where, since when, in which batch and what to do, and nothing that a person typed', async () => {
    const site = await toldElsewhere(() => TAKEN)
    await site.begin()
    const entry = site.raises()
    await site.look()
    expect(site.got()).toEqual([
      {
        schema: 'spargewatch.alarm/1',
        id: expect.stringMatching(/^[0-9a-f]{8}-[0-9a-f]{4}-8[0-9a-f]{3}-[89ab][0-9a-f]{3}-[0-9a-f]{12}$/),
        what: 'raised',
        site: 'Test clinic',
        zone: 'Europe/Lisbon',
        simulated: false,
        alarm: 'instrument-silent',
        bench: 'A',
        bench_name: 'Bench A',
        batch: 'A-2026-03-14-1',
        priority: 'medium',
        text: 'No reading arrives from the meter at Bench A',
        what_to_do: 'Check the cable.',
        raised_at: entry.happened_at,
        over_at: null,
        over_how: null,
        seen_at: null,
        sent_at: entry.happened_at,
        late_s: null,
      },
    ])
    site.clock.pass(60)
    site.changes('unacknowledged', 'acknowledged')
    site.changes('acknowledged', 'normal')
    await site.look()
    expect(site.got().slice(1)).toMatchObject([
      { what: 'returned', raised_at: entry.happened_at, over_how: 'returned', what_to_do: null },
    ])
    expect(JSON.stringify(site.http.requests)).not.toContain('Ines')
    expect(site.troubles).toEqual([])
  })

  it('goes to those who want its priority, and its return only to those who were told', async () => {
    const site = await toldElsewhere(
      () => TAKEN,
      (url) => ({
        receivers: [
          webhookTo(`${url}/all`, { name: 'all' }),
          webhookTo(`${url}/high`, { name: 'high', priorities: ['high'] }),
        ],
      }),
    )
    await site.begin()
    site.raises()
    site.raises({ alarm: 'potency-below-target', priority: 'high' })
    site.raises({ alarm: 'calibration-overdue', priority: 'low' })
    site.returns()
    await site.look()
    const paths = site.http.requests.map(({ path, body }) => [
      path,
      JSON.parse(body).alarm,
      JSON.parse(body).what,
    ])
    expect(paths.sort()).toEqual([
      ['/all', 'instrument-silent', 'raised-and-over'],
      ['/all', 'potency-below-target', 'raised'],
      ['/high', 'potency-below-target', 'raised'],
    ])
  })

  it('is not told again as over where ends are not to be told', async () => {
    const site = await toldElsewhere(
      () => TAKEN,
      () => ({ returned: false }),
    )
    await site.begin()
    site.raises()
    await site.look()
    site.returns()
    await site.look()
    expect(site.got().map(({ what }) => what)).toEqual(['raised'])
  })

  it('that a phase of the work makes meaningless is told as no longer applying', async () => {
    const site = await toldElsewhere(() => TAKEN)
    await site.begin()
    site.raises()
    await site.look()
    site.changes('unacknowledged', 'suppressed-by-design')
    await site.look()
    expect(site.got()[1]).toMatchObject({ what: 'returned', over_how: 'no-longer-applies' })
  })
})

describe('an alarm that flutters', () => {
  const BACK_IN_TIME = 120

  it('is told once in the quiet time, and again at its end if it still stands', async () => {
    const site = await toldElsewhere(() => TAKEN)
    await site.begin()
    site.raises()
    await site.look()
    site.returns()
    site.clock.pass(BACK_IN_TIME)
    site.changes('returned-unacknowledged', 'unacknowledged')
    await site.look()
    expect(site.got().map(({ what }) => what)).toEqual(['raised', 'returned'])
    site.clock.pass(179)
    await site.look()
    expect(site.got()).toHaveLength(2)
    site.clock.pass(1)
    await site.look()
    // on time: it was held back on purpose
    expect(site.got()[2]).toMatchObject({ what: 'raised-again', late_s: null })
  })

  it('is not told again when it is over by then, and the list says why', async () => {
    const site = await toldElsewhere(() => TAKEN)
    await site.begin()
    site.raises()
    await site.look()
    site.returns()
    site.changes('returned-unacknowledged', 'unacknowledged')
    site.returns()
    await site.look()
    site.clock.pass(1000)
    await site.look()
    expect(site.got().map(({ what }) => what)).toEqual(['raised', 'returned'])
    expect(site.file.newest(10).find(({ what }) => what === 'raised-again')).toMatchObject({
      state: 'not-needed',
      words: 'over before it was due',
    })
  })

  it('is never held back when it is about the air people breathe', async () => {
    const site = await toldElsewhere(() => TAKEN)
    await site.begin()
    const ozone = { alarm: 'room-ozone-ceiling', priority: 'high' }
    site.raises(ozone)
    await site.look()
    site.changes('unacknowledged', 'returned-unacknowledged', ozone)
    site.changes('returned-unacknowledged', 'unacknowledged', ozone)
    await site.look()
    expect(site.got().map(({ what }) => what)).toEqual(['raised', 'returned', 'raised-again'])
  })
})

describe('an alarm that nobody acknowledges', () => {
  const withLead = (url: string) => ({
    receivers: [
      webhookTo(`${url}/staff`, { name: 'staff' }),
      webhookTo(`${url}/lead`, { name: 'lead', afterMs: 600_000 }),
    ],
  })

  it('is told to the next one after the time that was set', async () => {
    const site = await toldElsewhere(() => TAKEN, withLead)
    await site.begin()
    site.raises()
    await site.look()
    site.clock.pass(599)
    await site.look()
    expect(site.http.requests.map(({ path }) => path)).toEqual(['/staff'])
    site.clock.pass(1)
    await site.look()
    expect(site.http.requests.map(({ path }) => path)).toEqual(['/staff', '/lead'])
    expect(site.got()[1]).toMatchObject({ what: 'not-acknowledged', late_s: null })
    site.returns()
    await site.look()
    expect(
      site.http.requests
        .slice(2)
        .map(({ path }) => path)
        .sort(),
    ).toEqual(['/lead', '/staff'])
  })

  it.each([
    ['acknowledged', 'acknowledged before it was due'],
    ['shelved', 'shelved before it was due'],
    ['out-of-service', 'taken out of service before it was due'],
    ['returned-unacknowledged', 'over before it was due'],
  ])('is not told to the next one once it is %s', async (to, words) => {
    const site = await toldElsewhere(() => TAKEN, withLead)
    await site.begin()
    site.raises()
    await site.look()
    site.changes('unacknowledged', to)
    await site.look()
    site.clock.pass(6000)
    await site.look()
    expect(site.http.requests.filter(({ path }) => path === '/lead')).toEqual([])
    expect(site.file.newest(10).find(({ receiver }) => receiver === 'lead')).toMatchObject({
      state: 'not-needed',
      words,
    })
  })

  it('keeps its time over a restart and a wall clock that is set back', async () => {
    const site = await toldElsewhere(() => TAKEN, withLead)
    await site.begin()
    site.raises()
    await site.look()
    await site.begin()
    await site.look()
    site.clock.step(-3600)
    await site.look()
    site.clock.pass(599)
    await site.look()
    expect(site.http.requests).toHaveLength(1)
    site.clock.pass(1)
    await site.look()
    expect(site.http.requests.map(({ path }) => path)).toEqual(['/staff', '/lead'])
  })
})

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

describe('an alarm that ends while its message is on the way', () => {
  it('is told as over afterwards when the message got there', async () => {
    let release = () => {}
    const held = new Promise<void>((resolve) => {
      release = resolve
    })
    const site = await toldElsewhere(() => held.then(() => TAKEN))
    await site.begin()
    site.raises()
    site.notifier().look()
    await until('the message to be on its way', () => site.http.requests.length === 1)
    site.returns()
    site.notifier().look()
    release()
    await until('its answer', () => site.notifier().isAtRest())
    await site.look()
    expect(site.got().map(({ what }) => what)).toEqual(['raised', 'returned'])
  })

  it('is told with both when nobody knows whether the message got there', async () => {
    let answers = 0
    const site = await toldElsewhere(() => (answers++ === 0 ? null : TAKEN))
    await site.begin()
    site.raises()
    site.notifier().look()
    await until('the message to be on its way', () => site.http.requests.length === 1)
    site.returns()
    site.notifier().look()
    await site.http.down()
    await site.http.up()
    await until('the broken way to be seen', () => site.notifier().isAtRest())
    site.clock.pass(1)
    await site.look()
    expect(site.got().map(({ what }) => what)).toEqual(['raised', 'raised-and-over'])
  })
})

describe('a restart', () => {
  it('tells what was recorded while nobody was there to tell, once', async () => {
    const site = await toldElsewhere(() => TAKEN)
    await site.begin()
    await site.look()
    site.raises()
    await site.begin()
    await site.look()
    await site.begin()
    await site.look()
    expect(site.got().map(({ what }) => what)).toEqual(['raised'])
  })

  it('tells at the very first start of alarms that stand, and of none of the past', async () => {
    const site = await toldElsewhere(() => TAKEN)
    site.raises({ alarm: 'disk-nearly-full' })
    site.changes('unacknowledged', 'normal', { alarm: 'disk-nearly-full' })
    site.raises()
    await site.begin()
    await site.look()
    expect(site.got()).toMatchObject([{ what: 'raised', alarm: 'instrument-silent' }])
  })

  it('does not tell a record again that was brought back from a back-up', async () => {
    const site = await toldElsewhere(() => TAKEN)
    await site.begin()
    site.raises()
    await site.look()
    site.file.advance(9000, 'an entry that this record does not have', () => {})
    await site.begin()
    await site.look()
    expect(site.got()).toHaveLength(1)
    site.raises({ alarm: 'disk-nearly-full' })
    await site.look()
    expect(site.got()).toHaveLength(2)
  })

  it('drops what was for a receiver that is no longer there', async () => {
    const receivers = [webhookTo('http://127.0.0.1:9/', { name: 'gone' })]
    const site = await toldElsewhere(
      () => TAKEN,
      () => ({ receivers }),
    )
    await site.begin()
    site.raises()
    await site.look()
    receivers[0] = webhookTo(site.http.url, { name: 'new' })
    await site.begin()
    await site.look()
    expect(site.file.newest(1)[0]).toMatchObject({
      state: 'not-needed',
      words: 'this receiver is no longer set up',
    })
  })
})
