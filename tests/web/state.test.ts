import { describe, expect, it } from 'vitest'
import type { Moment } from '../../web/moment.ts'
import { appendReadings, hasLetGoOf, MAX_READINGS, pastReadings } from '../../web/readings-held.ts'
import { type AppState, EMPTY, MOST_BATCHES, reduce } from '../../web/state.ts'
import { fakeBench } from '../support/fake-bench.ts'

const NOW = Date.parse('2026-03-04T13:00:00Z')
const moment = (ms: number): Moment => ({ mono_ms: ms, wall_ms: 1_700_000_000_000 + ms })

describe('what the screen knows', () => {
  it('starts with nothing and not connected', () => {
    expect(EMPTY.link).toBe('connecting')
    expect(EMPTY.benches.size).toBe(0)
  })

  it('does not count a change of the link as having heard from the server', () => {
    expect(reduce(EMPTY, { kind: 'link', link: 'connected' }, moment(5)).heard).toBeNull()
  })

  it('keeps the benches in the order of the server and forgets those it no longer names', () => {
    const two = reduce(
      EMPTY,
      { kind: 'benches', benches: [fakeBench(NOW, { bench: 'B' }), fakeBench(NOW)] },
      moment(0),
    )
    expect(two.order).toEqual(['B', 'A'])
    const one = reduce(two, { kind: 'benches', benches: [fakeBench(NOW)] }, moment(1))
    expect([...one.benches.keys()]).toEqual(['A'])
  })

  it('ignores a message that was overtaken by a newer one', () => {
    const newer = reduce(EMPTY, { kind: 'live', live: fakeBench(NOW + 1000) }, moment(1000))
    const same = reduce(newer, { kind: 'benches', benches: [fakeBench(NOW)] }, moment(1010))
    expect(same.benches.get('A')?.value.at).toBe('2026-03-04T13:00:01.000Z')
    expect(same.benches.get('A')?.heard).toEqual(moment(1000))
  })

  it('follows a server whose clock was set back', () => {
    const before = reduce(EMPTY, { kind: 'live', live: fakeBench(NOW) }, moment(0))
    const after = reduce(before, { kind: 'live', live: fakeBench(NOW - 3_600_000) }, moment(3000))
    expect(after.benches.get('A')?.heard).toEqual(moment(3000))
  })

  it('holds readings of dissolved ozone only', () => {
    const readings = {
      bench: 'A',
      channel: 'fluid-temperature',
      readings: [[1, 8.4, 'good']] as [number, number, 'good'][],
    }
    expect(reduce(EMPTY, { kind: 'readings', readings }, moment(0)).readings.size).toBe(0)
    const ozone = { ...readings, channel: 'dissolved-ozone' }
    expect(reduce(EMPTY, { kind: 'readings', readings: ozone }, moment(0)).readings.get('A')).toHaveLength(1)
  })

  it('moves the newest sequence of a batch, so that its record is asked for again', () => {
    const state = reduce(EMPTY, { kind: 'entries', batch: 'x', seq: 9 }, moment(0))
    expect(state.newest.get('x')).toBe(9)
    expect(reduce(state, { kind: 'entries', batch: null, seq: 10 }, moment(1)).newest).toBe(state.newest)
  })

  it('remembers a bounded number of batches, those it heard of last', () => {
    const ids = Array.from({ length: MOST_BATCHES }, (_, i) => `b${i}`)
    const tell = (state: AppState, batch: string) =>
      reduce(state, { kind: 'entries', batch, seq: 1 }, moment(0))
    const { newest } = ['b0', 'new'].reduce(tell, ids.reduce(tell, EMPTY))
    expect(newest.size).toBe(MOST_BATCHES)
    expect(['b0', 'b1', 'b2', 'new'].map((id) => newest.has(id))).toEqual([true, false, true, true])
  })
})

describe('readings held for the chart', () => {
  it('stay in time order when some arrive late, and a repeat changes nothing', () => {
    const first = appendReadings(
      [],
      [
        [10, 1, 'good'],
        [30, 3, 'good'],
      ],
    )
    const late = appendReadings(first, [
      [20, 2, 'good'],
      [30, 99, 'good'],
    ])
    expect(late.map((r) => [r.time_us, r.mg_l])).toEqual([
      [10, 1],
      [20, 2],
      [30, 3],
    ])
  })

  it('mark what does not count and keep a missing number missing', () => {
    const held = appendReadings(
      [],
      [
        [1, 20, 'clipped'],
        [2, null, 'fault'],
        [3, 18, 'hand-entered'],
      ],
    )
    expect(held).toEqual([
      { time_us: 1, mg_l: 20, counts: false },
      { time_us: 2, mg_l: null, counts: false },
      { time_us: 3, mg_l: 18, counts: true },
    ])
  })

  it('are bounded, the oldest going first', () => {
    const many = Array.from({ length: MAX_READINGS + 10 }, (_, i): [number, number, 'good'] => [i, i, 'good'])
    const held = appendReadings([], many)
    expect(held).toHaveLength(MAX_READINGS)
    expect(held[0]?.time_us).toBe(10)
    expect(hasLetGoOf(held, 0.009)).toBe(true)
    expect(hasLetGoOf(held, 0.01)).toBe(false)
    expect(hasLetGoOf(held.slice(1), 0)).toBe(false)
  })

  it('keep least and greatest of each column of the past', () => {
    const column = { time_us: 5, min: 1, max: 3, mean: 2, count: 4, not_good: 0 }
    expect(pastReadings([column]).map((r) => r.mg_l)).toEqual([1, 3])
    expect(pastReadings([{ ...column, min: 2, max: 2 }])).toHaveLength(1)
    expect(pastReadings([{ ...column, min: null, max: null, mean: null }])[0]?.mg_l).toBeNull()
  })
})
