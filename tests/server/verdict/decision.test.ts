import { describe, expect, it } from 'vitest'
import { likelyCauses } from '../../../server/verdict/causes.ts'
import { compare } from '../../../server/verdict/compare.ts'
import { decide } from '../../../server/verdict/decision.ts'

const calibration = { uRelative: 0.03, uZeroMgPerL: 0.1 }

describe('the decision rule', () => {
  const potency = (value: number) => ({ value, se: 0.2, tOneSided: 1.7 })

  it('says above only when the lower bound is at or over the target', () => {
    expect(decide(potency(20), 15, calibration).word).toBe('above')
    expect(decide(potency(15.5), 15, calibration).word).toBe('too-close')
  })

  it('says below only when the upper bound is under the target', () => {
    expect(decide(potency(10), 15, calibration).word).toBe('below')
    expect(decide(potency(14.5), 15, calibration).word).toBe('too-close')
  })

  it('makes no statement without a calibration, and still gives the bounds of the fit', () => {
    const decided = decide(potency(20), 15, undefined)
    expect(decided.word).toBe('not-calibrated')
    expect(decided.lower).toBeCloseTo(20 - 0.34, 9)
  })

  it('adds fit and calibration in squares', () => {
    // √((1.7·0.2)² + 1.644854²·((0.03·20)² + 0.1²)), by hand
    expect(20 - decide(potency(20), 15, calibration).lower).toBeCloseTo(1.0571, 3)
  })

  it('puts the edge with above', () => {
    const exact = decide({ value: 15, se: 0, tOneSided: 1.7 }, 15, { uRelative: 0, uZeroMgPerL: 0 })
    expect(exact.word).toBe('above')
  })
})

describe('comparing with a band', () => {
  const band = { low: 20, central: 24, high: 28 }

  it('agrees when the interval touches the band', () => {
    expect(compare({ value: 19, ci95: [17.8, 20.2] }, band)).toEqual({ outcome: 'agrees', found: 19 })
  })

  it('differs, with direction and distance from the edge, when wholly outside', () => {
    expect(compare({ value: 15, ci95: [14, 16] }, band)).toEqual({
      outcome: 'differs',
      found: 15,
      direction: 'below',
      byPercent: 25,
    })
    expect(compare({ value: 35, ci95: [34, 36] }, band)).toMatchObject({ direction: 'above', byPercent: 25 })
  })

  it('cannot tell from an interval far wider than the band, or from a bound that settles nothing', () => {
    expect(compare({ value: 25, ci95: [5, 45] }, band)).toEqual({
      outcome: 'cannot-tell',
      why: 'interval-too-wide',
    })
    expect(compare({ at_least: 18 }, band)).toEqual({ outcome: 'cannot-tell', why: 'only-a-bound' })
    expect(compare({ at_most: 30 }, band)).toEqual({ outcome: 'cannot-tell', why: 'only-a-bound' })
  })

  it('differs by a bound that settles it', () => {
    expect(compare({ at_least: 31 }, band)).toMatchObject({ outcome: 'differs', direction: 'above' })
    expect(compare({ at_most: 12 }, band)).toMatchObject({ outcome: 'differs', direction: 'below' })
  })

  it('has likely causes for every way to differ', () => {
    for (const about of [
      'plateau_mg_l',
      'rate_per_min',
      't95_min',
      'half_life_min',
      'half_life_20c_min',
    ] as const)
      for (const direction of ['above', 'below'] as const)
        expect(likelyCauses(about, direction).length).toBeGreaterThan(1)
  })
})
