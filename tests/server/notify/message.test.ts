import { describe, expect, it } from 'vitest'
import type { Delivery, Told } from '../../../server/notify/delivery.ts'
import { messageOf } from '../../../server/notify/message.ts'

const RAISED = '2026-07-14T13:03:10.000Z'
const TOLD: Told = {
  key: 'A:potency-below-target',
  alarm: 'potency-below-target',
  bench: { id: 'A', name: 'Bench A' },
  batch: 'A-2026-07-14-1',
  priority: 'high',
  text: 'Measured dissolved ozone is below the 15 µg/mL you set',
  whatToDo: 'Discard it.',
  raisedAt: RAISED,
  over: null,
  seenAt: null,
  simulated: false,
}
const OVER = { at: '2026-07-14T13:07:00.000Z', how: 'returned' } as const

const wordsOf = (what: Delivery['what'], told: Partial<Told> = {}, lateS = 0, wasTold = false) => {
  const firstDueMs = Date.parse(RAISED)
  const delivery = { id: 'one', what, firstDueMs, told: { ...TOLD, ...told } } as Delivery
  return messageOf(delivery, {
    site: 'Clínica Sol',
    zone: 'Europe/Lisbon',
    nowMs: firstDueMs + 1000 * lateS,
    lateAfterMs: 60_000,
    wasTold,
  })
}

describe('a message of an alarm', () => {
  it('says on one line what and where, then since when by the site’s clock, in which batch and what to do', () => {
    const { subject, text } = wordsOf('raised')
    expect(subject).toBe(
      'ALARM, high priority: Bench A, Measured dissolved ozone is below the 15 µg/mL you set (Clínica Sol)',
    )
    expect(text.split('\n').slice(0, 6)).toEqual([
      'Clínica Sol, Bench A',
      'ALARM, high priority: Measured dissolved ozone is below the 15 µg/mL you set',
      // summer time in Lisbon is UTC+1
      'Raised: 2026-07-14 14:03:10 (Europe/Lisbon)',
      'Batch: A-2026-07-14-1',
      '',
      'What to do: Discard it.',
    ])
  })

  it.each([
    ['raised-again', {}, false, /^ALARM AGAIN, high priority/],
    ['not-acknowledged', {}, false, /^NOBODY HAS ACKNOWLEDGED this alarm/],
    ['returned', { over: OVER }, true, /^Returned to normal/],
    ['returned', { over: { ...OVER, how: 'no-longer-applies' } }, true, /^No longer applies/],
    ['returned', { over: OVER }, false, /^Over meanwhile/],
  ] as const)('%s: with %o, told before: %s', (what, told, wasTold, subject) => {
    expect(wordsOf(what, told, 0, wasTold).subject).toMatch(subject)
  })

  it('of one that is over gives both times and asks nobody to do anything', () => {
    const { text, json } = wordsOf('returned', { over: OVER })
    expect(text).toContain('Raised: 2026-07-14 14:03:10')
    expect(text).toContain('Returned to normal: 2026-07-14 14:07:00')
    expect(text).not.toContain('What to do')
    expect(json).toMatchObject({ what: 'raised-and-over', what_to_do: null })
  })

  it.each([
    [60, false, ''],
    [61, true, '1 min'],
    [3660, true, '1 h 01 min'],
  ])('sent %s s after it was due is late: %s', (lateS, isLate, by) => {
    const { subject, text, json } = wordsOf('raised', {}, lateS)
    expect(subject.startsWith('LATE: ')).toBe(isLate)
    expect(json.late_s).toBe(isLate ? lateS : null)
    expect(text.replaceAll('\u00a0', ' ').includes(`This message is LATE by ${by}:`)).toBe(isLate)
  })

  it('of a simulated bench says so first, before anything else', () => {
    const { subject, text, json } = wordsOf('raised', { simulated: true }, 100)
    expect(subject).toMatch(/^SIMULATED: LATE: ALARM/)
    expect(text).toMatch(/^SIMULATED: these are no real readings\.\n/)
    expect(json.simulated).toBe(true)
  })

  it('says where it is known that somebody at the screen has dealt with it', () => {
    expect(wordsOf('raised', { seenAt: OVER.at }).text).toContain(
      'Somebody at the screen dealt with it: 2026-07-14 14:07:00',
    )
  })
})
