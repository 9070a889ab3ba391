import { describe, expect, it } from 'vitest'
import { toldElsewhere, webhookTo } from '../../support/told-elsewhere.ts'

const TAKEN = { status: 204 }

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
