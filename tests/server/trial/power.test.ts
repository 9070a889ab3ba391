import { describe, expect, it } from 'vitest'
import { chanceOfPrep, comparisonsOf, trialPower } from '../../../server/trial/power.ts'
import { powerOf } from '../../../server/trial/stats/batches-needed.ts'
import { drawnNormals } from '../../support/drawn-normals.ts'

const DEMAND = { coverage: 0.9, confidence: 0.95 }
const PREP = {
  kind: 'prep-time',
  ...{ prep_min: 9, typical_min: 6.5, spread_percent: 8, confidence_percent: 95, coverage_percent: 90 },
} as const

describe('how many batches a trial needs', () => {
  it('is what the noncentral t says of the bound', () => {
    // scipy 1.17.1: k = nct.ppf(0.95, n-1, norm.ppf(0.9)*sqrt(n))/sqrt(n); 1 - nct.cdf(k*sqrt(n), n-1, sqrt(n)*0.3/0.1)
    const found = [5, 10].map((n) => chanceOfPrep(n, { marginLog: 0.3, sdLog: 0.1 }, DEMAND))
    expect(found[0]).toBeCloseTo(0.458375, 5)
    expect(found[1]).toBeCloseTo(0.867588, 5)
  })

  it('agrees with counting trials that are drawn', () => {
    // a fixed generator: 4,000 trials of six batches, so the counted chance has a standard error under 0.8 %
    const random = drawnNormals(11)
    const [marginLog, sdLog, n] = [0.25, 0.1, 6]
    const k = 3.00626 // scipy 1.17.1: nct.ppf(0.95, 5, norm.ppf(0.9)*sqrt(6))/sqrt(6)
    let shown = 0
    for (let i = 0; i < 4000; i++) {
      const own = Array.from({ length: n }, () => sdLog * random())
      const mean = own.reduce((a, b) => a + b, 0) / n
      const sd = Math.sqrt(own.reduce((s, v) => s + (v - mean) ** 2, 0) / (n - 1))
      if (mean + k * sd <= marginLog) shown += 1
    }
    expect(Math.abs(shown / 4000 - chanceOfPrep(n, { marginLog, sdLog }, DEMAND))).toBeLessThan(0.03)
  })

  it('grows with the batches and with the margin, and tells the least that is enough', () => {
    const { rows, needed, basis } = trialPower({ ...PREP, minutes_each: 45 })
    const chances = rows.map((r) => r.chance_percent)
    expect(chances).toEqual([...chances].sort((a, b) => a - b))
    expect(needed).toBe(rows.find((r) => r.chance_percent >= 80)?.batches)
    expect(rows[1]).toMatchObject({ batches: 4, in_all: 4, hours: 3 })
    expect(basis).toContain('a typical batch takes 6.5 min and batches spread by 8 %')
  })

  it('is none where a typical batch needs the planned time already', () => {
    expect(trialPower({ ...PREP, typical_min: 9 }).needed).toBeNull()
  })

  it('shares the error of a comparison among all pairs in both measures', () => {
    expect([2, 3, 4].map(comparisonsOf)).toEqual([2, 6, 12])
    const wanted = {
      kind: 'fluid-comparison',
      confidence_percent: 95,
      margin_percent: 20,
      groups: 3,
    } as const
    const { rows } = trialPower({ ...wanted, spread_percent: 10 })
    const five = rows.find((r) => r.batches === 5)
    const alone = powerOf(5, { ratio: 1.2, sdLog: 0.1, alpha: 0.05 / 6 })
    expect(five?.chance_percent).toBeCloseTo(100 * alone, 8)
    expect(five?.in_all).toBe(15)
  })
})
