import { describe, expect, it } from 'vitest'
import { toldElsewhere, webhookTo } from '../../support/told-elsewhere.ts'
import { until } from '../../support/until.ts'

const TAKEN = { status: 204 }

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
