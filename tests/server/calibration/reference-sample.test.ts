import { describe, expect, it } from 'vitest'
import { atDraw, lostInTime } from '../../../server/calibration/draw-time.ts'
import type { Measured } from '../../../server/calibration/measured.ts'
import {
  dpd,
  EPSILON_PUBLISHED,
  F_UNMEASURED,
  indigo,
  indigoByWeight,
  OZONE_PER_CHLORINE,
  ultraviolet,
} from '../../../server/calibration/reference-sample.ts'

const exactly = (value: number): Measured => ({ value, u: 0 })
const F = exactly(0.42)

describe('a reference sample by indigo', () => {
  const sampleOf = (lost: number, cm: number, ml: number, blank = 0.5) =>
    indigo({
      blank: exactly(blank),
      sample: exactly(blank - lost),
      pathCm: exactly(cm),
      sampleMl: exactly(ml),
      f: F,
    })

  it('is 100·ΔA/(f·b·V)', () => {
    // by hand: 42/37.8 and 21/52.5
    expect(sampleOf(0.42, 1, 90, 0.6).value).toBeCloseTo(1.1111, 4)
    expect(sampleOf(0.21, 5, 25).value).toBeCloseTo(0.4, 12)
  })

  it('is (100·A_blank − A_sample·V_total)/(f·b·V_sample) by weight', () => {
    const parts = { blank: exactly(0.4), sample: exactly(0.25), pathCm: exactly(1), f: F }
    // by hand: (40 − 25.5)/0.84
    const found = indigoByWeight({ ...parts, totalMl: exactly(102), sampleMl: exactly(2) })
    expect(found.value).toBeCloseTo(17.262, 3)
    expect(found).toMatchObject({ kind: 'value', notes: [] })
  })

  it('is only "at least" when less than a fifth of the dye is left', () => {
    // 2 mL at 20 mg/L take 0.168 of a blank of 0.20; 1.5 mL take 0.126
    expect(sampleOf(0.168, 1, 2, 0.2)).toMatchObject({ kind: 'at-least', notes: ['dye-nearly-used-up'] })
    expect(sampleOf(0.126, 1, 1.5, 0.2)).toMatchObject({ kind: 'value', notes: [] })
    expect(sampleOf(0.126, 1, 1.5, 0.2).value).toBeCloseTo(20, 10)
  })

  it('says when it is below what the method can tell, 0.005 mg/L', () => {
    expect(sampleOf(0.0018, 1, 90).notes).toEqual(['below-the-method'])
    expect(sampleOf(0.002, 1, 90).notes).toEqual([])
  })

  it('carries absorbance, volume, path and f', () => {
    // ΔA 0.084 ± 0.002 (2.381 %), 1 mL ± 1 %, 1 cm ± 0.5 %, f 5 %: root of the sum of squares 5.650 %
    const each = 0.002 / Math.SQRT2
    const found = indigo({
      blank: { value: 0.2, u: each },
      sample: { value: 0.116, u: each },
      pathCm: { value: 1, u: 0.005 },
      sampleMl: { value: 1, u: 0.01 },
      f: F_UNMEASURED,
    })
    expect(found.value).toBeCloseTo(20, 10)
    expect(found.u / found.value).toBeCloseTo(0.0565, 4)
  })

  it('carries the same by weight', () => {
    // python3: with 0.40 ± 0.002, 0.25 ± 0.002, 102 ± 0.05, 2 ± 0.01, f 0.42 ± 0.021, numpy seed 1, 2e6 draws: 17.305, sd 0.940;
    // first order, by hand: lost ±√(0.2² + 0.204² + 0.0125²) = 0.28596 of 14.5, f 5 %, V 0.5 %: 5.398 %
    const found = indigoByWeight({
      blank: { value: 0.4, u: 0.002 },
      sample: { value: 0.25, u: 0.002 },
      pathCm: exactly(1),
      totalMl: { value: 102, u: 0.05 },
      sampleMl: { value: 2, u: 0.01 },
      f: F_UNMEASURED,
    })
    expect(found.u / found.value).toBeCloseTo(0.05398, 4)
  })
})

describe('a reference sample by DPD', () => {
  it('turns chlorine into ozone by 0.6769, times the dilution', () => {
    expect(OZONE_PER_CHLORINE).toBeCloseTo(0.6769, 4)
    expect(1 / OZONE_PER_CHLORINE).toBeCloseTo(1.477, 3)
    const found = dpd({
      chlorine: { value: 1.477, u: 0.03 },
      dilution: { value: 20, u: 0.2 },
      inChloride: false,
    })
    expect(found.value).toBeCloseTo(19.996, 2)
    // 2.031 % and 1 %
    expect(found.u / found.value).toBeCloseTo(0.02264, 4)
    expect(found.kind).toBe('value')
  })

  it('is an upper bound in a chloride solution', () => {
    const found = dpd({ chlorine: exactly(1), dilution: exactly(1), inChloride: true })
    expect(found).toMatchObject({ kind: 'at-most', notes: ['counts-other-oxidants'] })
  })
})

describe('a reference sample by ultraviolet light', () => {
  const at = (absorbance: number, epsilon: number, cm = 1) =>
    ultraviolet({ absorbance: exactly(absorbance), pathCm: exactly(cm), epsilon: exactly(epsilon) })

  it('is 47 998·A/(ε·b)', () => {
    // 47998/2900, /3000, /3135, /3300
    expect([2900, 3000, 3135, 3300].map((e) => Number(at(1, e).value.toFixed(2)))).toEqual([
      16.55, 16, 15.31, 14.54,
    ])
    expect(at(0.625, 3000, 0.5).value).toBeCloseTo(20, 2)
  })

  it('differs by 14 % between the ends of what is in print', () => {
    const [low, high] = EPSILON_PUBLISHED
    expect(at(1, low).value / at(1, high).value - 1).toBeCloseTo(0.138, 3)
  })

  it('carries absorbance, path and ε, and says when one of them is unusual', () => {
    const found = ultraviolet({
      absorbance: { value: 0.6, u: 0.006 },
      pathCm: { value: 0.5, u: 0.0025 },
      epsilon: { value: 3135, u: 22 },
    })
    // 1 %, 0.5 %, 0.702 %
    expect(found.u / found.value).toBeCloseTo(0.01321, 4)
    expect(found.notes).toEqual([])
    expect(at(1.25, 3000).notes).toEqual(['absorbance-too-high'])
    expect(at(0.5, 2600).notes).toEqual(['epsilon-outside-published'])
  })
})

describe('the time from draw to measurement', () => {
  it('costs 4.5 % in 2 min at a half-life of 30 min', () => {
    const lost = lostInTime(exactly(2), exactly(30))
    expect(lost.value).toBeCloseTo(0.0452, 4)
    expect(atDraw(exactly(19.1), lost).value).toBeCloseTo(20.003, 3)
  })

  it('carries the uncertainty of both times', () => {
    const lost = lostInTime({ value: 2, u: 0.25 }, { value: 30, u: 6 })
    // numerically, (f(x+h) − f(x−h))/2h with h = 1e-5: 0.022061 per min and −0.0014708 per min
    expect(lost.u).toBeCloseTo(Math.hypot(0.022061 * 0.25, 0.0014708 * 6), 5)
    expect(atDraw({ value: 19.1, u: 0.2 }, lost).u).toBeCloseTo(
      Math.hypot(0.2 / 0.9548, (20.003 * lost.u) / 0.9548),
      4,
    )
  })
})
