import { describe, expect, it } from 'vitest'
import { ofForecast, ozoneOffDue, timeLeft } from '../../web/time-left.ts'
import { bubbling, fakeBench, iso, standing } from '../support/fake-bench.ts'

const NOW = Date.parse('2026-03-04T13:00:00Z')
const MIN = 60_000

describe('time left', () => {
  it('counts down to the early bound and not to the expected crossing', () => {
    const left = timeLeft(standing(NOW), NOW)
    expect(left).toMatchObject({ kind: 'above-until', left_s: 725.4, until: iso(NOW + 17 * MIN) })
  })

  it('stops counting and says so once the early bound has passed', () => {
    expect(timeLeft(standing(NOW), NOW + 13 * MIN).kind).toBe('early-bound-passed')
  })

  it('never counts down without an early bound', () => {
    const forecast = { ...standing(NOW).forecast, early_bound_at: null, why: 'Too few readings.' }
    expect(ofForecast(forecast, NOW)).toEqual({ kind: 'cannot-tell', why: 'Too few readings.' })
  })

  it('counts to the planned ozone-off while bubbling, and answers if off now as an if', () => {
    expect(timeLeft(bubbling(NOW), NOW)).toMatchObject({ kind: 'ozone-off-due', in_s: 188 })
    expect(timeLeft(bubbling(NOW, { ozone_off_at_planned: null }), NOW).kind).toBe('if-off-now')
  })

  it('says nothing without a batch or after discard', () => {
    expect(timeLeft(fakeBench(NOW), NOW)).toEqual({ kind: 'nothing' })
    expect(timeLeft(standing(NOW, { phase: { kind: 'discarded', since: iso(NOW) } }), NOW)).toEqual({
      kind: 'nothing',
    })
  })

  it('keeps no target, below and cannot tell apart', () => {
    const of = (state: 'no-target' | 'below-target' | 'cannot-tell') =>
      ofForecast({ ...standing(NOW).forecast, state }, NOW).kind
    expect([of('no-target'), of('below-target'), of('cannot-tell')]).toEqual([
      'no-target',
      'below-target',
      'cannot-tell',
    ])
  })

  it('calls for a minute from the planned ozone-off on, and no longer', () => {
    const planned = NOW + 3 * MIN + 8000
    const due = [-1000, 0, 59_000, 61_000].map((ms) => ozoneOffDue(bubbling(NOW), planned + ms))
    expect(due).toEqual([false, true, true, false])
  })
})
