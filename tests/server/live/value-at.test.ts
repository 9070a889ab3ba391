import { describe, expect, it } from 'vitest'
import { ChannelMemory } from '../../../server/live/bench-memory.ts'
import type { BenchState } from '../../../server/live/bench-state.ts'
import { valueAt } from '../../../server/live/value-at.ts'
import { atMinute } from '../../support/entries.ts'
import { liveBench } from '../../support/live-bench.ts'

const NOW = Date.parse(atMinute(20))
const state = { potency: new ChannelMemory(0) } as unknown as BenchState
const { potency } = liveBench()
/** Read 4 min ago with a dipped probe. */
const between = liveBench({
  spot_mode: true,
  potency: { ...potency, state: 'by-hand', taken: 'meter', at: atMinute(16), age_s: 240 },
  estimate_now: { low_mg_l: 15.2, high_mg_l: 18.2, basis: 'readings' },
})

describe('the value at draw', () => {
  it('is what is measured at that moment', () => {
    expect(valueAt(state, liveBench(), NOW)).toMatchObject({ value_mg_l: 18.2, basis: 'measured' })
  })

  it('between spot readings is the estimate for now, and called one; never the old reading', () => {
    expect(valueAt(state, between, NOW - 30_000)).toEqual({
      value_mg_l: expect.closeTo(16.7, 9),
      low_mg_l: 15.2,
      high_mg_l: 18.2,
      basis: 'estimate',
      calibrated: true,
    })
  })

  it('is the reading itself where it was drawn as it was read', () => {
    expect(valueAt(state, between, Date.parse(atMinute(16)))).toMatchObject({
      value_mg_l: 18.2,
      basis: 'measured',
    })
  })

  it('is not known for a moment the estimate is not of, or where nothing is estimated', () => {
    expect(valueAt(state, between, NOW - 90_000)).toBeNull()
    expect(valueAt(state, { ...between, estimate_now: null }, NOW)).toBeNull()
  })
})
