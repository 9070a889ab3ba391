import { describe, expect, it } from 'vitest'
import { coverageCases, coverageOf } from '../../bench/coverage.ts'

const REPLICATES = 120
/** Of 120 intervals that hold the truth with 95 %, at least 88.5 % do in 998 of 1000 runs (binomial). */
const LEAST = 88.5

const cases = coverageCases.filter(({ minutes }) => minutes <= 30)

describe('the 95 % interval of a rate', () => {
  it.each(cases)('holds the truth as often as it says: $name', (situation) => {
    const coverage = coverageOf(situation, REPLICATES)
    expect(coverage.refused).toBe(0)
    expect(coverage.covered).toBeGreaterThanOrEqual(LEAST)
    expect(coverage.seOverScatter).toBeLessThan(1.4)
    expect(Math.abs(coverage.biasPercent)).toBeLessThan(1)
  })

  it('would hold it far too seldom with white-noise standard errors', () => {
    const ar1 = coverageCases.find((c) => c.name === 'rise 20 min, AR(1) 20 s')
    if (ar1 === undefined) throw new Error('no case')
    expect(coverageOf(ar1, REPLICATES).naive).toBeLessThan(50)
  })
})
