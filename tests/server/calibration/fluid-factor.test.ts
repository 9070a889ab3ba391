import { describe, expect, it } from 'vitest'
import { fluidFactor } from '../../../server/calibration/fluid-factor.ts'

type Parts = Parameters<typeof fluidFactor>[0]
const of = (parts: Partial<Parts>) =>
  fluidFactor({
    calibratedIn: { fluid: 'distilled' },
    usedIn: { fluid: 'saline' },
    senses: 'activity',
    temperatureC: 20,
    ...parts,
  })
const factor = (parts: Partial<Parts>) => {
  const found = of(parts)
  if (found.kind !== 'factor') throw new Error(found.kind)
  return found
}

describe('the factor for the fluid of a membrane probe', () => {
  it('is the Sechenov factor of 0.9 % saline after water, and its inverse the other way', () => {
    // 10^(−K·0.154), K = (2.659 − 688/T)/ln 10: Kosak-Channing & Helz (1983): 0.972, 0.953, 0.934 at 5, 20, 37 °C
    expect([5, 20, 37].map((temperatureC) => Number(factor({ temperatureC }).factor.toFixed(3)))).toEqual([
      0.972, 0.953, 0.934,
    ])
    const back = factor({ calibratedIn: { fluid: 'saline' }, usedIn: { fluid: 'distilled' } })
    // it would over-read by 4.9 %
    expect(back.factor).toBeCloseTo(1.049, 3)
  })

  it('carries the dissent down to 0.90, and the unknown temperature', () => {
    expect(factor({}).uRelative).toBeCloseTo((0.953 - 0.9) / Math.sqrt(3) / 0.953, 3)
    expect(factor({ temperatureC: undefined }).uRelative).toBeGreaterThan(factor({}).uRelative)
  })

  it('is one in the same fluid, without a batch, and for a probe that senses concentration', () => {
    const none = { kind: 'factor', factor: 1, uRelative: 0 }
    expect(of({ usedIn: { fluid: 'distilled' } })).toEqual(none)
    expect(of({ usedIn: undefined })).toEqual(none)
    expect(of({ senses: 'concentration', usedIn: { fluid: 'other' } })).toEqual(none)
    expect(
      of({ calibratedIn: { fluid: 'other', detail: 'R' }, usedIn: { fluid: 'other', detail: 'R' } }),
    ).toEqual(none)
  })

  it('takes filtered water as nearly free of salt', () => {
    const found = factor({ usedIn: { fluid: 'filtered' } })
    expect(found.factor).toBe(1)
    expect(found.uRelative).toBeLessThan(0.005)
  })

  it('does not exist where the salt of one fluid is not known', () => {
    const not = { kind: 'not-for-this-fluid' }
    expect(of({ usedIn: { fluid: 'other' } })).toEqual(not)
    expect(of({ calibratedIn: { fluid: 'other' }, usedIn: { fluid: 'other' } })).toEqual(not)
    expect(of({ calibratedIn: { fluid: 'other', detail: 'R' }, usedIn: { fluid: 'saline' } })).toEqual(not)
    expect(of({ calibratedIn: undefined, usedIn: { fluid: 'other' } })).toEqual(not)
  })

  it('becomes uncertainty where it is not known what the probe senses or what it was calibrated in', () => {
    for (const parts of [{ senses: undefined }, { calibratedIn: undefined }]) {
      const found = factor(parts)
      expect(found.factor).toBe(1)
      // the whole 4.7 %, as a rectangle, and the factor's own
      expect(found.uRelative).toBeGreaterThan(0.047 / Math.sqrt(3))
      expect(found.uRelative).toBeLessThan(0.06)
    }
  })
})
