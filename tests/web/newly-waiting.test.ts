import { describe, expect, it } from 'vitest'
import { AGAIN_AFTER_MS, newlyWaiting, type Told } from '../../web/newly-waiting.ts'
import { fakeAlarm } from '../support/fake-bench.ts'

const NOW = Date.parse('2026-03-14T09:00:00Z')
const medium = fakeAlarm(NOW)
const high = fakeAlarm(NOW, { key: 'A:room-ozone-ceiling', priority: 'high' })

const tellAt = (told: Told, now_ms: number, ...alarms: Parameters<typeof newlyWaiting>[1]) =>
  newlyWaiting(told, alarms, now_ms)

describe('alarms that a notice tells of', () => {
  it('tells each raising once', () => {
    const first = tellAt(new Map(), 0, medium)
    expect(first.tell).toEqual([{ alarm: medium, again: false }])
    expect(tellAt(first.told, 10 * AGAIN_AFTER_MS, medium).tell).toEqual([])
  })

  it('tells of high priority again after two minutes, and again, until it is acknowledged', () => {
    const first = tellAt(new Map(), 0, high)
    expect(tellAt(first.told, AGAIN_AFTER_MS - 1, high).tell).toEqual([])
    const second = tellAt(first.told, AGAIN_AFTER_MS, high)
    expect(second.tell).toEqual([{ alarm: high, again: true }])
    expect(tellAt(second.told, AGAIN_AFTER_MS + 1000, high).tell).toEqual([])
    expect(tellAt(second.told, 2 * AGAIN_AFTER_MS, high).tell).toHaveLength(1)
    expect(tellAt(second.told, 2 * AGAIN_AFTER_MS, { ...high, state: 'acknowledged' }).tell).toEqual([])
  })

  it('tells anew what was acknowledged and came again', () => {
    const first = tellAt(new Map(), 0, medium)
    const gone = tellAt(first.told, 1000, { ...medium, state: 'acknowledged' })
    expect(gone).toEqual({ tell: [], told: new Map() })
    expect(tellAt(gone.told, 2000, medium).tell).toEqual([{ alarm: medium, again: false }])
  })
})
