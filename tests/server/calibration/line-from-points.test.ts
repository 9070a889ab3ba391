import { describe, expect, it } from 'vitest'
import {
  againstLimit,
  linearity,
  lineFromPoints,
  type Point,
} from '../../../server/calibration/line-from-points.ts'

const point = (reference: number, u_reference: number, shown: number, u_shown: number): Point => ({
  reference,
  u_reference,
  shown,
  u_shown,
})
const lineOf = (points: readonly Point[], more: Partial<Parameters<typeof lineFromPoints>[0]> = {}) => {
  const line = lineFromPoints({ points, sharedPercent: 0, ...more })
  if (line.kind === 'refused') throw new Error(line.why)
  return line
}

describe('slope and zero from reference points', () => {
  it('are those of the line through two, with both uncertainties carried', () => {
    const line = lineOf([point(0, 0, 0.2, 0.05), point(20, 0.4, 19.2, 0.1)])
    expect(line.slope.value).toBeCloseTo(0.95, 12)
    expect(line.zero.value).toBeCloseTo(0.2, 12)
    // √(0.05² + 0.1² + (0.95·0.4)²)/20, and 0.05
    expect(line.slope.u).toBeCloseTo(0.0198053, 6)
    expect(line.zero.u).toBeCloseTo(0.05, 9)
  })

  it('are those of weighted least squares through more', () => {
    const line = lineOf([
      point(0, 0.02, 0.1, 0.05),
      point(5, 0.1, 4.95, 0.05),
      point(10, 0.2, 10.1, 0.05),
      point(20, 0.4, 19.4, 0.05),
    ])
    // numpy polyfit(x, y, 1, w=1/sqrt(uy² + (slope·ux)²), cov='unscaled'), slope repeated until it stands
    expect(line.slope.value).toBeCloseTo(0.97856765, 7)
    expect(line.zero.value).toBeCloseTo(0.09991861, 7)
    expect(line.slope.u).toBeCloseTo(0.01319548, 7)
    expect(line.zero.u).toBeCloseTo(0.05177043, 7)
    // scipy.odr on the same: 0.97885984 ± 0.01319913 and 0.09941857 ± 0.05177703
    expect(Math.abs(line.slope.value - 0.97885984)).toBeLessThan(0.05 * line.slope.u)
    expect(Math.abs(line.zero.value - 0.09941857)).toBeLessThan(0.05 * line.zero.u)
  })

  it('carry what all reference values share whole into the slope', () => {
    const line = lineOf([point(0, 0, 0, 0.05), point(20, 0, 20, 0.05)], { sharedPercent: 5 })
    // √(0.05²·2)/20 = 0.00354 and 5 %
    expect(line.slope.u).toBeCloseTo(Math.hypot(0.0035355, 0.05), 6)
  })

  it('give the slope from one point and a known zero, or the zero alone from a fluid without ozone', () => {
    const line = lineOf([point(20, 0.6, 19, 0.1)], { zeroKnown: { value: 0.1, u: 0.05 } })
    expect(line.slope.value).toBeCloseTo(0.945, 12)
    expect(line.slope.u).toBeCloseTo(Math.hypot(0.1, 0.05, 0.945 * 0.6) / 20, 12)
    expect(lineOf([point(0, 0, 0.3, 0.05)])).toMatchObject({
      slope: { value: 1, u: 0 },
      zero: { value: 0.3, u: 0.05 },
    })
  })

  it('are refused where they cannot be known', () => {
    const why = (points: readonly Point[]) => {
      const line = lineFromPoints({ points, sharedPercent: 0 })
      return line.kind === 'refused' ? line.why : 'not refused'
    }
    expect(why([])).toBe('no-point')
    expect(why([point(20, 0.1, 19, 0.1)])).toBe('zero-unknown')
    expect(why([point(20, 0.1, 19, 0.1), point(20, 0.1, 19.2, 0.1)])).toBe('same-reference')
    expect(why([point(0, 0.1, 19, 0.1), point(20, 0.1, 1, 0.1)])).toBe('slope-not-positive')
  })
})

describe('linearity', () => {
  const levels = (bend: number) =>
    [0, 5, 10, 15, 20].map((r) => point(r, 0.02, r - bend * (r / 20) ** 2, 0.02))

  it('needs three different levels', () => {
    expect(
      linearity([point(0, 0, 0, 0.1), point(20, 0, 20, 0.1), point(20, 0, 20.1, 0.1)], 2),
    ).toBeUndefined()
  })

  it('is said only where the readings are good enough to say it', () => {
    expect(linearity(levels(0), 2)?.word).toBe('within')
    // a parabola of 2 at the end of 20 lies 0.25 off its line in the middle: 1.4 % of the span of the line, 18
    const bent = linearity(levels(2), 1)
    expect(bent?.word).toBe('outside')
    expect(bent?.furthestPercent.value).toBeGreaterThan(1.2)
    expect(bent?.furthestPercent.value).toBeLessThan(1.8)
    const rough = levels(0).map((p) => ({ ...p, u_shown: 0.5 }))
    expect(linearity(rough, 2)?.word).toBe('cannot-tell')
  })
})

describe('a difference against its limit', () => {
  it('is within, outside, or too close to say, by the one-sided 95 % bound', () => {
    expect(againstLimit({ value: -0.3, u: 0.1 }, 0.5)).toBe('within')
    expect(againstLimit({ value: 0.7, u: 0.1 }, 0.5)).toBe('outside')
    expect(againstLimit({ value: 0.4, u: 0.1 }, 0.5)).toBe('cannot-tell')
  })
})
