import { describe, expect, it } from 'vitest'
import { countPhases, phaseCases } from '../../bench/phase-table.ts'

const REPLICATES = 24

const cases = phaseCases.filter((c) => !c.name.includes('3 h') && !c.name.endsWith('probe of 30 s'))

describe('the turns of a batch read from its signal alone', () => {
  it.each(cases)('are where they were, as near as noise and interval allow: $name', (situation) => {
    const { right, onWithin, offWithin, offHeld, medianOffS, allowedOffS, statedOffS } = countPhases(
      situation,
      REPLICATES,
    )
    expect(right).toBe(REPLICATES)
    expect(onWithin).toBeGreaterThanOrEqual(20)
    // measured with 150 batches: 94 to 100 % within the allowed time; 85 % in purely slow noise, where an estimator told
    // the noise is within it in 84 %, as the Cramér-Rao bound of a kink in such noise is out of reach
    expect(offWithin).toBeGreaterThanOrEqual(situation.name.includes('AR(1)') ? 16 : 20)
    expect(medianOffS).toBeLessThanOrEqual(allowedOffS)
    // with 150 batches 93 to 99 %; of 24 at 93 %, fewer than 19 is 1 in 200
    expect(offHeld).toBeGreaterThanOrEqual(19)
    expect(statedOffS).toBeLessThan(2 * allowedOffS)
  })

  it('are taken back by the response of a slow probe, when it was measured', () => {
    const named = (name: string) => {
      const found = phaseCases.find((c) => c.name === `30 min, mixed, ${name}`)
      if (found === undefined) throw new Error(name)
      return countPhases(found, REPLICATES)
    }
    expect(named('probe of 30 s').medianOffS).toBeGreaterThan(20)
    expect(named('probe known to be of 30 s').medianOffS).toBeLessThan(15)
  })
})
