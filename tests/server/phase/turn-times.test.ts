import { describe, expect, it } from 'vitest'
import { countPhases, phaseCases } from '../../bench/phase-table.ts'

const REPLICATES = 12

const cases = phaseCases.filter((c) => !c.name.includes('3 h') && !c.name.includes('probe'))

describe('the turns of a batch read from its signal alone', () => {
  it.each(cases)('are where they were, as near as noise and interval allow: $name', (situation) => {
    const { right, onWithin, offWithin, medianOffS, allowedOffS } = countPhases(situation, REPLICATES)
    expect(right).toBe(REPLICATES)
    expect(onWithin).toBeGreaterThanOrEqual(10)
    // measured share within the allowed time: 80 to 100 % by the situation
    expect(offWithin).toBeGreaterThanOrEqual(7)
    expect(medianOffS).toBeLessThanOrEqual(allowedOffS)
  })
})
