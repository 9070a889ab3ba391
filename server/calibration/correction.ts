import { type FluidNamed, fluidFactor } from './fluid-factor.ts'
import { type CalibrationInForce, inForceAt } from './in-force.ts'

/** What one calibration does to a reading: C = (reading − zero)/slope · factor. */
export interface Applied {
  readonly kind: 'calibrated'
  readonly by: CalibrationInForce
  readonly factor: number
  /** Standard uncertainty that errs the same way every time: part of the value (slope, fluid), and at zero. */
  readonly uRelative: number
  readonly uZero: number
}

export type Correcting =
  | Applied
  | { readonly kind: 'not-for-this-fluid'; readonly by: CalibrationInForce }
  | { readonly kind: 'none' }

/** How readings of one channel are corrected in one batch: by the calibration in force when each was taken. */
export type Correction = (atMs: number, temperatureC: number | undefined) => Correcting

export const UNCORRECTED: Correction = () => ({ kind: 'none' })

/** `usedIn`: what the probe stands in, for dissolved ozone; other quantities do not depend on it. */
export const correctionOf =
  (calibrations: readonly CalibrationInForce[], usedIn: FluidNamed | undefined): Correction =>
  (atMs, temperatureC) => {
    const by = inForceAt(calibrations, atMs)
    if (by === undefined) return { kind: 'none' }
    const { slope, u_slope_percent, u_zero, fluid, fluid_detail: detail, senses } = by.data
    const calibratedIn = fluid === undefined ? undefined : { fluid, detail }
    const salt = fluidFactor({ calibratedIn, usedIn, senses, temperatureC })
    if (salt.kind === 'not-for-this-fluid') return { kind: 'not-for-this-fluid', by }
    return {
      kind: 'calibrated',
      by,
      factor: salt.factor,
      uRelative: Math.hypot(u_slope_percent / 100, salt.uRelative),
      uZero: (u_zero / slope) * salt.factor,
    }
  }

/** The value to use. A calibration that is not for this fluid changes nothing: the value is as sent, uncalibrated. */
export const corrected = (reading: number, how: Correcting): number =>
  how.kind === 'calibrated' ? ((reading - how.by.data.zero) / how.by.data.slope) * how.factor : reading
