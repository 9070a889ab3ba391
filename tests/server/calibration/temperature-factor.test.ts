import { describe, expect, it } from 'vitest'
import { correctionOf } from '../../../server/calibration/correction.ts'
import { type Compensation, temperatureFactor } from '../../../server/calibration/temperature-factor.ts'
import type { EntryData } from '../../../server/ledger/entry.ts'
import { CALIBRATED, measuredBatch } from '../../support/measured-batch.ts'

type Parts = Parameters<typeof temperatureFactor>[0]
const of = (compensation: Compensation | undefined, parts: Partial<Parts> = {}) =>
  temperatureFactor({ compensation, senses: 'activity', calibratedAtC: 20, temperatureC: 5, ...parts })
const factor = (compensation: Compensation | undefined, parts: Partial<Parts> = {}) => {
  const found = of(compensation, parts)
  if (found.kind !== 'factor') throw new Error(found.kind)
  return found
}

describe('what a membrane probe calibrated at 20 °C still needs at 5 °C', () => {
  it('is nothing where the meter compensates membrane and solubility, but what sources for solubility disagree', () => {
    const { factor: by, uRelative } = factor('membrane-and-solubility')
    expect(by).toBe(1)
    // the furthest core source is Kosak-Channing & Helz (1983): exp(2297·1.83962e-4) = 1.5259, against 1.6738
    expect(uRelative).toBeCloseTo(Math.log(1.6738 / 1.5259) / Math.sqrt(3), 4)
  })

  it('is the solubility where the meter compensates the membrane', () => {
    // H(5)/H(20) = exp[2800·(1/278.15 − 1/293.15)]: Sander, Atmos. Chem. Phys. 23, 10901 (2023), B 2800 K
    expect(factor('membrane').factor).toBeCloseTo(1.6738, 4)
    expect(factor('membrane').uRelative).toBeCloseTo(Math.log(1.6738 / 1.5259) / Math.sqrt(3), 4)
  })

  it('is solubility and membrane where it compensates nothing', () => {
    // 1.6738 · exp(0.035·15): 3.5 %/K is the middle of 2 to 5, from memory
    expect(factor('none').factor).toBeCloseTo(2.8295, 3)
    // 1.5 %/K either way over 15 K as a rectangle, 13.0 %, and the solubility's 5.3 %
    expect(factor('none').uRelative).toBeCloseTo(Math.hypot(0.225 / Math.sqrt(3), 0.05341), 4)
  })

  it('goes the other way when it is warmer, and is nothing at the temperature of the calibration', () => {
    // 1/1.1737
    expect(factor('membrane', { temperatureC: 25 }).factor).toBeCloseTo(0.852, 3)
    for (const mode of ['none', 'membrane', 'membrane-and-solubility', undefined] as const)
      expect(of(mode, { temperatureC: 20 })).toEqual({ kind: 'factor', factor: 1, uRelative: 0 })
  })
})

describe('where it is not known what remains', () => {
  const not = { kind: 'not-for-this-temperature' }

  it('the whole difference becomes uncertainty while it is small, and no calibration when it is not', () => {
    // none would be 6.76 %/K: over 2 K 0.135, as a rectangle
    const found = factor(undefined, { temperatureC: 22 })
    expect(found.factor).toBe(1)
    expect(found.uRelative).toBeGreaterThan(0.07)
    expect(found.uRelative).toBeLessThan(0.09)
    expect(of(undefined)).toEqual(not)
    expect(factor('membrane', { senses: undefined, temperatureC: 18 }).factor).toBe(1)
    expect(factor('membrane', { senses: undefined, temperatureC: 18 }).uRelative).toBeGreaterThan(0.035)
  })

  it('a calibration that states neither temperature nor compensation is taken as before', () => {
    expect(factor(undefined, { calibratedAtC: undefined })).toEqual({
      kind: 'factor',
      factor: 1,
      uRelative: 0,
    })
  })

  it('a meter that does not compensate solubility needs both temperatures', () => {
    for (const mode of ['none', 'membrane'] as const) {
      expect(of(mode, { calibratedAtC: undefined })).toEqual(not)
      expect(of(mode, { temperatureC: undefined })).toEqual(not)
    }
    expect(factor('membrane-and-solubility', { temperatureC: undefined }).factor).toBe(1)
  })

  it('outside 0 to 40 °C nothing is known', () => {
    expect(of('membrane', { temperatureC: 41 })).toEqual(not)
    expect(of('membrane', { calibratedAtC: -1 })).toEqual(not)
  })

  it('a probe for concentration is left alone', () => {
    expect(factor('none', { senses: 'concentration' })).toEqual({ kind: 'factor', factor: 1, uRelative: 0 })
  })
})

describe('salt and temperature together', () => {
  const by = (data: Partial<EntryData<'calibration'>>, fluid: 'saline' | 'distilled', celsius: number) => {
    const at = '2026-03-14T09:00:00.000Z'
    const calibration = { at, enteredAt: at, data: { ...CALIBRATED, senses: 'activity' as const, ...data } }
    const found = correctionOf([calibration], { fluid })(Date.parse(at), celsius)
    return found.kind === 'calibrated' ? Number(found.factor.toFixed(4)) : found.kind
  }
  const inWater = { fluid: 'distilled', temperature_c: 20 } as const
  const inSaline = { fluid: 'saline', temperature_c: 20 } as const

  it('multiply: Sechenov at the temperature of use, whatever the meter compensates', () => {
    // 10^(−K·0.154), K = (2.659 − 688/T)/ln 10, Kosak-Channing & Helz (1983): 0.97183, 0.95308, 0.94733 at 5, 20, 25 °C
    const full = { ...inWater, compensation: 'membrane-and-solubility' } as const
    // a meter set for pure water shows 21.1 in saline of 25 °C that holds 20
    expect(by(full, 'saline', 25)).toBeCloseTo(20 / 21.112, 3)
    expect(by(full, 'distilled', 25)).toBe(1)
    const membrane = { ...inWater, compensation: 'membrane' } as const
    expect(by(membrane, 'saline', 5)).toBeCloseTo(0.97183 * 1.6738, 3)
    expect(by({ ...inWater, compensation: 'none' }, 'saline', 5)).toBeCloseTo(0.97183 * 2.8295, 3)
  })

  it('calibrated in saline, only the change of the salt effect remains beside the rest', () => {
    const full = { ...inSaline, compensation: 'membrane-and-solubility' } as const
    expect(by(full, 'saline', 20)).toBe(1)
    expect(by(full, 'saline', 5)).toBeCloseTo(0.97183 / 0.95308, 3)
    expect(by(full, 'distilled', 5)).toBeCloseTo(1 / 0.95308, 3)
  })
})

describe('a batch colder than the calibration', () => {
  const membrane = { senses: 'activity', fluid: 'saline', temperature_c: 20 } as const
  const cold = (data: Partial<EntryData<'calibration'>>) =>
    measuredBatch([[-600, { ...membrane, ...data }]], {}, { celsius: 5 })

  it('is corrected alike on screen and on the record', () => {
    const batch = cold({ compensation: 'membrane' })
    // 20 as sent; the batch is saline
    expect(batch.valueAt(3)).toBeCloseTo((20 * 1.6738 * 0.97183) / 0.95308, 1)
    expect([...batch.live().potency.values.view()]).toEqual([...batch.read().input.potencyMgPerL])
    expect(batch.read().input.calibration).toBeDefined()
  })

  it('is not calibrated where the compensation is not stated: shown as sent, and said so', () => {
    const batch = cold({})
    expect(batch.valueAt(3)).toBe(20)
    expect(batch.read().input.calibration).toBeUndefined()
    expect(batch.read().tally.notForThisTemperature).toBe(301)
    expect(batch.live().view().potency).toMatchObject({
      calibration: null,
      uncalibrated_why: expect.stringContaining('not for this temperature'),
    })
  })
})
