import { describe, expect, it } from 'vitest'
import { deliveryFailing } from '../../../server/alarm/delivery-failing.ts'
import { loggingStopped } from '../../../server/alarm/logging-stopped.ts'
import type { DeliverySeen, SiteAlarmView } from '../../../server/alarm/site-alarm-view.ts'
import { watchLogging } from '../../../server/live/logging-seen.ts'
import { REACHED } from '../../../server/notify/delivery-seen.ts'

const view = (more: Partial<SiteAlarmView>): SiteAlarmView => ({
  forwarding: 'none',
  mirror: 'none',
  disk: 'unknown',
  delivery: 'none',
  loggingSilentS: 0,
  ...more,
})
const delivery = (seen: Partial<DeliverySeen>): SiteAlarmView => view({ delivery: { ...REACHED, ...seen } })

describe('the alarm "delivery failing"', () => {
  it.each([
    ['nothing was tried in vain', {}, 'clear'],
    ['a message waits for a second try', { oldestTriedS: 3 }, 'between'],
    ['one has waited for a minute', { oldestTriedS: 60 }, 'active'],
    ['a mail server does not let the program in', { oldestTriedS: 1, notLetIn: true }, 'active'],
    ['a receiver refused one for good', { refusedBy: ['pager'] }, 'active'],
    ['the settings cannot be used', { fault: 'no' }, 'active'],
  ] as const)('when %s', (_, seen, condition) => {
    expect(deliveryFailing.condition(delivery(seen), {})).toBe(condition)
  })

  it('is suppressed where nobody is to be told, and cannot tell when its file cannot be read', () => {
    expect(deliveryFailing.suppressed(view({}))).toBe(true)
    expect(deliveryFailing.suppressed(view({ delivery: 'unknown' }))).toBe(false)
    expect(deliveryFailing.condition(view({ delivery: 'unknown' }), {})).toBe('unknown')
  })

  it('names who is not told, three of many', () => {
    const text = (seen: Partial<DeliverySeen>) => deliveryFailing.text(delivery(seen), {})
    expect(text({ notReached: ['lead', 'pager'], refusedBy: ['pager'] })).toBe(
      'Alarms do not get to lead, pager',
    )
    expect(text({ notReached: ['a', 'b', 'c', 'd', 'e'] })).toBe('Alarms do not get to a, b, c and 2 more')
    expect(text({ fault: 'x' })).toMatch(/settings cannot be used/)
    expect(deliveryFailing.whatToDo(delivery({ fault: 'x' }))).toMatch(/spargewatch\.yaml/)
  })
})

describe('the alarm "logging stopped"', () => {
  it.each([
    [0, 'clear'],
    [9.9, 'clear'],
    [10, 'active'],
    [1e6, 'active'],
    ['unknown', 'unknown'],
  ] as const)('after %s s of silence: %s', (loggingSilentS, condition) => {
    expect(loggingStopped.condition(view({ loggingSilentS }), {})).toBe(condition)
    expect(loggingStopped.priority(view({}))).toBe('high')
  })
})

describe('the silence of the logging program', () => {
  it('counts by steady time from its last word, and from the start of the server when it spoke before that', () => {
    let steadyMs = 1e6
    let timeUs = 5
    const silentS = watchLogging({ ports: () => [{ timeUs }] as never }, { steadyMs: () => steadyMs })
    steadyMs += 8000
    expect(silentS()).toBe(8)
    timeUs = 6
    expect(silentS()).toBe(0)
    steadyMs += 11_000
    expect(silentS()).toBe(11)
    // its clock was set back: that it speaks counts, not when it says it is
    timeUs = 4
    expect(silentS()).toBe(0)
  })
})
