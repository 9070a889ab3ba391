import { describe, expect, it } from 'vitest'
import { alarmPerformance } from '../../../server/alarm/performance.ts'
import { atMinute } from '../../support/entries.ts'

const change = (minute: number, from: string, to: string, alarm = 'reading-due', priority = 'low') => ({
  bench: 'A',
  happened_at: atMinute(minute),
  data: { alarm, from, to, priority, text: '' },
})
const NOW_MS = Date.parse(atMinute(3000))

describe('the figures of the standard', () => {
  it('count what was raised, by priority and by alarm, and how soon it was acknowledged', () => {
    const found = alarmPerformance(
      [
        change(0, 'normal', 'unacknowledged'),
        change(2, 'unacknowledged', 'acknowledged'),
        change(5, 'acknowledged', 'normal'),
        change(10, 'normal', 'unacknowledged', 'instrument-silent', 'medium'),
        change(11, 'unacknowledged', 'returned-unacknowledged', 'instrument-silent', 'medium'),
        change(14, 'returned-unacknowledged', 'normal', 'instrument-silent', 'medium'),
        change(40, 'normal', 'unacknowledged'),
        change(41, 'unacknowledged', 'shelved'),
      ],
      NOW_MS,
      30,
    )
    expect(found).toMatchObject({
      raised: 3,
      per_day: 0.1,
      by_priority: { high: 0, medium: 1, low: 2 },
      acknowledged_after_s: 180,
      most_often: [
        { key: 'A:reading-due', raised: 2 },
        { key: 'A:instrument-silent', raised: 1 },
      ],
      chattering: [],
      stale: [],
      floods: 0,
      most_in_ten_minutes: 1,
    })
  })

  it('name what chatters: three times within a minute', () => {
    const raised = [0, 0.4, 0.9].map((m) => change(m, 'normal', 'unacknowledged'))
    expect(alarmPerformance(raised, NOW_MS, 30).chattering).toEqual(['A:reading-due'])
    const slower = [0, 0.5, 1.1].map((m) => change(m, 'normal', 'unacknowledged'))
    expect(alarmPerformance(slower, NOW_MS, 30).chattering).toEqual([])
  })

  it('name what has stood for more than a day, and count floods', () => {
    const old = [change(0, 'normal', 'unacknowledged'), change(9, 'unacknowledged', 'acknowledged')]
    expect(alarmPerformance(old, NOW_MS, 30).stale).toEqual(['A:reading-due'])
    expect(alarmPerformance(old, Date.parse(atMinute(1400)), 30).stale).toEqual([])
    const many = Array.from({ length: 11 }, (_, i) => change(i / 2, 'normal', 'unacknowledged', `x${i}`))
    expect(alarmPerformance(many, NOW_MS, 30)).toMatchObject({ floods: 1, most_in_ten_minutes: 11 })
  })

  it('look only at the days asked for', () => {
    const found = alarmPerformance([change(0, 'normal', 'unacknowledged')], NOW_MS, 1)
    expect(found).toMatchObject({ raised: 0, acknowledged_after_s: null })
  })
})
