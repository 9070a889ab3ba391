import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import { elapsedMs, type Moment, serverNow } from '../../web/moment.ts'
import { potencyShown, SILENT_AFTER_MS } from '../../web/potency-shown.ts'
import { fakeBench, fakePotency } from '../support/fake-bench.ts'

const SERVER = Date.parse('2026-03-04T13:00:00Z')
const START: Moment = { mono_ms: 10_000, wall_ms: 1_700_000_000_000 }
const later = (ms: number): Moment => ({ mono_ms: START.mono_ms + ms, wall_ms: START.wall_ms + ms })

const heard = (over: Parameters<typeof fakePotency>[1] = {}) => ({
  value: fakeBench(SERVER, { potency: fakePotency(SERVER, over) }),
  heard: START,
})

describe('what may be shown as potency', () => {
  it('is live while the server says so and both clocks agree that it is fresh', () => {
    expect(potencyShown(heard(), true, later(1000))).toMatchObject({
      form: 'live',
      value_mg_l: 18.2,
      age_s: 1.8,
    })
  })

  it('turns stale by the clock of the screen when its age passes the limit', () => {
    expect(potencyShown(heard({ stale_after_s: 3 }), true, later(2100)).form).toBe('live')
    expect(potencyShown(heard({ stale_after_s: 3 }), true, later(2300))).toMatchObject({
      form: 'not-live',
      why: 'stale',
      last: { value_mg_l: 18.2 },
    })
  })

  it('says not connected when the socket is down or silent, even if the value could still be fresh', () => {
    expect(potencyShown(heard(), false, START)).toMatchObject({ form: 'not-live', why: 'not-connected' })
    const slow = heard({ stale_after_s: 600 })
    expect(potencyShown(slow, true, later(SILENT_AFTER_MS)).form).toBe('live')
    expect(potencyShown(slow, true, later(SILENT_AFTER_MS + 1))).toMatchObject({ why: 'not-connected' })
  })

  it('never trusts a live state without a number, a time or an age', () => {
    for (const over of [{ value_mg_l: null }, { at: null }, { value_mg_l: Number.NaN }, { age_s: null }])
      expect(potencyShown(heard(over), true, START).form).toBe('not-live')
  })

  it('never shows the large figure for any other state, however fresh', () => {
    const others = ['stale', 'fault', 'clipped', 'probe-out', 'settling', 'no-reading', 'by-hand'] as const
    for (const state of others) expect(potencyShown(heard({ state }), true, START).form).not.toBe('live')
  })

  it('lets a reading by hand grow too old to go by', () => {
    const byHand = heard({ state: 'by-hand', age_s: 590, stale_after_s: 600 })
    expect(potencyShown(byHand, true, later(1000))).toMatchObject({ form: 'by-hand', fresh: true })
    expect(
      potencyShown(heard({ state: 'by-hand', age_s: 599, stale_after_s: 600 }), true, later(2000)),
    ).toMatchObject({
      form: 'by-hand',
      fresh: false,
    })
    expect(potencyShown(byHand, false, later(1000))).toMatchObject({ form: 'by-hand', fresh: false })
  })

  it('once not live, no passing of time without a message makes it live again', () => {
    fc.assert(
      fc.property(fc.nat(20_000), fc.nat(20_000), fc.boolean(), (a, b, connected) => {
        const first = potencyShown(heard(), connected, later(a))
        const second = potencyShown(heard(), connected, later(a + b))
        return first.form === 'live' || second.form !== 'live'
      }),
    )
  })
})

describe('time since a message', () => {
  it('counts a sleep in which the monotonic clock stood still', () => {
    expect(elapsedMs(START, { mono_ms: START.mono_ms + 5, wall_ms: START.wall_ms + 600_000 })).toBe(600_000)
  })

  it('is not shortened by a wall clock that was set back', () => {
    expect(elapsedMs(START, { mono_ms: START.mono_ms + 7000, wall_ms: START.wall_ms - 3_600_000 })).toBe(7000)
  })

  it('gives the time of the server although the wall clock of the browser is years off', () => {
    expect(serverNow('2026-03-04T13:00:00Z', START, later(2500))).toBe(SERVER + 2500)
  })
})
