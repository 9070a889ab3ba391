import { describe, expect, it } from 'vitest'
import { chanceOfPrep } from '../../../../server/trial/power.ts'
import { powerOf } from '../../../../server/trial/stats/batches-needed.ts'
import {
  APART,
  AT_THE_MARGIN,
  BOUNDS,
  countBound,
  countPairs,
  countPrep,
  countSplits,
  PREP,
  SAME,
  SPREAD,
} from '../../../bench/clinic-table.ts'

const TRIALS = 2000
/** Three standard errors of a counted part. */
const chance = (part: number): number => 3 * Math.sqrt((part * (1 - part)) / TRIALS)

describe('trials of simulated clinics whose truth is known, counted', () => {
  it.each(BOUNDS)('the tolerance bound of $n batches covers, error of each $within of the spread', (c) => {
    const covered = countBound(c, TRIALS)
    expect(covered).toBeGreaterThan(0.95 - chance(0.95))
    expect(covered).toBeLessThan(0.99)
  })

  it.each(SAME.filter((c) => c.spreads === 1 && c.first === c.second && c.first >= 5))(
    'no difference between $first and $second batches of one fluid is shown more often than 5 %',
    (c) => {
      expect(countPairs(c, TRIALS).different).toBeLessThanOrEqual(0.05 + chance(0.05))
    },
  )

  it.each(AT_THE_MARGIN.filter((c) => c.spreads === 1 && c.first === c.second && c.first >= 5))(
    '$first and $second batches at the very margin are not called within it more often than 5 %',
    (c) => {
      expect(countPairs(c, TRIALS).equivalent).toBeLessThanOrEqual(0.05 + chance(0.05))
    },
  )

  it.each(APART)('$first and $second batches $ratio apart are told as often as was planned', (c) => {
    const planned = powerOf(c.first, { ratio: c.ratio, sdLog: SPREAD, alpha: 0.05 })
    expect(Math.abs(countPairs(c, TRIALS).different - planned)).toBeLessThan(0.05)
  })

  it('five and five batches of fluids 1.5 apart are told apart in 99 % and more', () => {
    expect(
      countPairs({ first: 5, second: 5, spreads: 1, ratio: 1.5 }, TRIALS).different,
    ).toBeGreaterThanOrEqual(0.99)
  })

  it('ten batches of one fluid split at random are hardly ever told apart', () => {
    expect(countSplits(TRIALS)).toBeLessThanOrEqual(0.05 + chance(0.05))
  })

  it.each(PREP)('%i batches show a prep time of %f min as often as was planned', (n, planned) => {
    const expected = chanceOfPrep(
      n,
      { marginLog: Math.log(planned / 6), sdLog: SPREAD },
      { coverage: 0.9, confidence: 0.95 },
    )
    expect(Math.abs(countPrep(n, planned, TRIALS) - expected)).toBeLessThan(0.05)
  })
})
