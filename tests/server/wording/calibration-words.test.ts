import { describe, expect, it } from 'vitest'
import type { BatchRecord } from '../../../server/wire.ts'
import {
  calibrationWords,
  notCalibratedWords,
  whyUncalibrated,
} from '../../../server/wording/calibration-words.ts'
import { siteClock } from '../../../server/wording/site-clock.ts'

type From = BatchRecord['worked_from']
const USED: From['calibrations'][number] = {
  at: '2026-03-14T09:00:00.000Z',
  entered_at: '2026-03-14T09:00:00.000Z',
  method: 'indigo',
  slope: 0.98,
  zero_mg_l: 0.05,
  u_slope_percent: 3,
  u_zero_mg_l: 0.1,
  readings: 1752,
  compensation: null,
  fluid_factor: { low: 1, high: 1 },
}
const words = (more: Partial<typeof USED>) => calibrationWords(siteClock('UTC'))({ ...USED, ...more })

describe('a calibration on the record of a batch', () => {
  it('says slope, zero and how many readings, and no more where nothing else was done', () => {
    expect(words({})).toBe('2026-03-14 09:00:00: slope 0.98 ± 3 %, zero 0.05 ± 0.1 mg/L (1752 readings)')
  })

  it('says that it was entered later, what it was multiplied by, and what the meter compensates', () => {
    const text = words({
      entered_at: '2026-03-15T10:00:00.000Z',
      compensation: 'membrane',
      fluid_factor: { low: 0.95, high: 1.02 },
    })
    expect(text).toContain('(entered later, 2026-03-15 10:00:00)')
    expect(text).toContain('times 0.950 to 1.020 for fluid and temperature')
    expect(text).toContain('temperature compensation of the meter: the membrane only')
    expect(words({ compensation: 'not-stated' })).toMatch(/not stated: no correction for temperature/)
  })
})

describe('a batch that no calibration is for', () => {
  const from = (more: Partial<From>) =>
    ({
      calibrations: [],
      uncalibrated_readings: 0,
      readings_not_for_this_fluid: 0,
      readings_not_for_this_temperature: 0,
      ...more,
    }) as From

  it('says whether fluid, temperature or time is why', () => {
    expect(whyUncalibrated(from({ readings_not_for_this_fluid: 3 }))).toMatch(/not for this fluid/)
    expect(whyUncalibrated(from({ readings_not_for_this_temperature: 3 }))).toMatch(/the temperature of the/)
    expect(whyUncalibrated(from({ calibrations: [USED] }))).toMatch(/before the first calibration/)
    expect(whyUncalibrated(from({}))).toMatch(/no calibration was in force/)
  })

  it('counts the readings of each', () => {
    expect(
      notCalibratedWords(
        from({ calibrations: [USED], uncalibrated_readings: 2, readings_not_for_this_temperature: 5 }),
      ),
    ).toBe('; 2 readings before the first one; 5 readings at a temperature the calibration is not for')
  })
})
