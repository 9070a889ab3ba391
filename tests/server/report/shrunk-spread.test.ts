import { describe, expect, it } from 'vitest'
import { bandOfNext } from '../../../server/analysis/next-batch-band.ts'
import { type Cell, shrunkSpread } from '../../../server/report/shrunk-spread.ts'
import { drawnNormals } from '../../support/drawn-normals.ts'

const cell = (logs: readonly number[], own = false): Cell => ({ logs, own })

describe('what the next batch of a setting is expected to be', () => {
  it('is nothing without batches, with two, or with two settings of one batch each', () => {
    expect(shrunkSpread([])).toBeUndefined()
    expect(shrunkSpread([cell([1, 1.1], true)])).toBeUndefined()
    expect(shrunkSpread([cell([1], true), cell([2])])).toBeUndefined()
    expect(shrunkSpread([cell([], true), cell([2]), cell([1])])).toBeUndefined()
  })

  it('is by its own batches where there are fewer than three settings', () => {
    const found = shrunkSpread([cell([1, 1.1, 1.2], true), cell([5, 5.1, 5.3])])
    expect(found?.meanLog).toBeCloseTo(1.1, 12)
    expect(found).toMatchObject({ worth: 3, degreesOfFreedom: 2 })
  })

  it('draws a setting of few batches towards the others, one of many hardly', () => {
    const others = [cell([1, 1.1, 0.9]), cell([1.2, 1.3, 1.1]), cell([0.8, 0.9, 0.7])]
    const few = shrunkSpread([cell([2], true), ...others])
    const many = shrunkSpread([cell([2, 2.1, 1.9, 2, 2.1, 1.9, 2, 2.05, 1.95], true), ...others])
    expect(few?.meanLog).toBeGreaterThan(1)
    expect(few?.meanLog).toBeLessThan(2)
    expect(2 - (many?.meanLog ?? 0)).toBeLessThan((2 - (few?.meanLog ?? 0)) / 3)
    expect(many?.worth).toBeGreaterThan(few?.worth ?? 99)
  })

  it('is the mean of all where the settings do not differ', () => {
    const found = shrunkSpread([cell([1, 1.2], true), cell([1.1, 1.1, 1.15]), cell([1, 1.2, 1.1])])
    expect(found?.meanLog).toBeCloseTo((1.1 * 2 + 1.1167 * 3 + 1.1 * 3) / 8, 2)
    expect(found?.worth).toBeGreaterThan(2)
  })

  it('says something of a setting that was never made', () => {
    const found = shrunkSpread([cell([], true), cell([1, 1.1]), cell([1.2, 1.3]), cell([0.8, 0.9])])
    expect(found?.meanLog).toBeCloseTo(1.05, 1)
    expect(found?.worth).toBeLessThan(2)
  })

  it('holds the next batch in its band in 95 of 100, and lies nearer the truth than its own mean', () => {
    // 2,000 draws with a fixed seed: six settings 0.1 apart, two batches of the own one, four of each other, spread 0.05
    const random = drawnNormals(5)
    let held = 0
    let shrunkError = 0
    let ownError = 0
    const rounds = 2000
    for (let i = 0; i < rounds; i++) {
      const truth = 0.1 * random()
      const own = [0, 1].map(() => truth + 0.05 * random())
      const others = Array.from({ length: 5 }, () => {
        const mean = 0.1 * random()
        return cell([0, 1, 2, 3].map(() => mean + 0.05 * random()))
      })
      const found = shrunkSpread([cell(own, true), ...others])
      if (!found) throw new Error('a spread was expected')
      const band = bandOfNext(found, 0)
      const next = Math.exp(truth + 0.05 * random())
      if (next >= band.low && next <= band.high) held += 1
      shrunkError += (found.meanLog - truth) ** 2
      ownError += ((own[0] as number) / 2 + (own[1] as number) / 2 - truth) ** 2
    }
    // τ is estimated from six settings, which costs a little
    expect(held / rounds).toBeGreaterThan(0.93)
    expect(held / rounds).toBeLessThan(0.97)
    expect(shrunkError).toBeLessThan(ownError)
  })
})
