import type { BatchRecord } from '../wire.ts'
import { isEnteredLater } from './entries.ts'
import { decimal } from './format.ts'
import type { SiteClock } from './site-clock.ts'
import { COMPENSATION } from './words.ts'

type From = BatchRecord['worked_from']

/** One that was used: since when, whether it was dated back, what it did to the readings. */
export const calibrationWords =
  (clock: SiteClock) =>
  (c: From['calibrations'][number]): string => {
    const { low, high } = c.fluid_factor
    const fluid =
      low === 1 && high === 1
        ? ''
        : `, times ${decimal(low, 3)} to ${decimal(high, 3)} for fluid and temperature`
    const later = isEnteredLater(c) ? ` (entered later, ${clock.full(c.entered_at)})` : ''
    const compensated =
      c.compensation === null
        ? ''
        : `; temperature compensation of the meter: ${compensationWords(c.compensation)}`
    return `${clock.full(c.at)}${later}: slope ${c.slope} ± ${c.u_slope_percent} %, zero ${c.zero_mg_l} ± ${c.u_zero_mg_l} mg/L${fluid} (${c.readings} readings)${compensated}`
  }

const compensationWords = (compensation: string): string =>
  COMPENSATION[compensation] ??
  'not stated: no correction for temperature, and a wider band where the calibration’s own temperature is on file'

/** What of the batch no calibration was for; empty when there is none. */
export const notCalibratedWords = (from: From): string => {
  const before = from.uncalibrated_readings
  const other = from.readings_not_for_this_fluid
  const warmth = from.readings_not_for_this_temperature
  return [
    ...(before > 0 && from.calibrations.length > 0 ? [`; ${before} readings before the first one`] : []),
    ...(other > 0 ? [`; ${other} readings with a calibration that is not for this fluid`] : []),
    ...(warmth > 0 ? [`; ${warmth} readings at a temperature the calibration is not for`] : []),
  ].join('')
}

/** Instead of a calibration. */
export const whyUncalibrated = (from: From): string => {
  const why =
    from.readings_not_for_this_fluid > 0
      ? 'the calibration on file is not for this fluid'
      : from.readings_not_for_this_temperature > 0
        ? 'the calibration on file is not for the temperature of the fluid'
        : from.calibrations.length > 0
          ? 'part of the readings came before the first calibration'
          : 'no calibration was in force'
  return `Uncalibrated: ${why}. Nothing is said about above or below the value set.`
}
