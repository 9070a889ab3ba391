import { type FluidNamed, fluidFactor } from './fluid-factor.ts'
import { type CalibrationInForce, inForceAt, lagAt, type ProbeLag, type StepTestInForce } from './in-force.ts'
import { temperatureFactor } from './temperature-factor.ts'

interface Known {
  /** Undefined: not known. */
  readonly lag: ProbeLag | undefined
}

/** What one calibration does to a reading: C = (reading − zero)/slope · factor. */
export interface Applied extends Known {
  readonly kind: 'calibrated'
  readonly by: CalibrationInForce
  readonly factor: number
  /** Standard uncertainty that errs the same way every time: part of the value (slope, fluid), and at zero. */
  readonly uRelative: number
  readonly uZero: number
}

/** The calibration says nothing about what the probe stands in. */
export type NotFor = 'not-for-this-fluid' | 'not-for-this-temperature'

export type Correcting =
  | Applied
  | (Known & { readonly kind: NotFor; readonly by: CalibrationInForce })
  | (Known & { readonly kind: 'none' })

/** How readings of one channel are corrected in one batch: by the calibration in force when each was taken. */
export type Correction = (atMs: number, temperatureC: number | undefined) => Correcting

export const UNCORRECTED: Correction = () => ({ kind: 'none', lag: undefined })

/** `usedIn`: what the probe stands in, for dissolved ozone; other quantities do not depend on it. */
export const correctionOf =
  (
    calibrations: readonly CalibrationInForce[],
    usedIn: FluidNamed | undefined,
    stepTests: readonly StepTestInForce[] = [],
  ): Correction =>
  (atMs, temperatureC) => {
    const by = inForceAt(calibrations, atMs)
    const lag = lagAt(by, stepTests, atMs)
    if (by === undefined) return { kind: 'none', lag }
    const factor = useFactor(by.data, usedIn, temperatureC)
    if (factor.kind !== 'factor') return { kind: factor.kind, by, lag }
    const { slope, u_slope_percent, u_zero } = by.data
    return {
      kind: 'calibrated',
      by,
      lag,
      factor: factor.factor,
      uRelative: Math.hypot(u_slope_percent / 100, factor.uRelative),
      uZero: (u_zero / slope) * factor.factor,
    }
  }

type UseFactor =
  | { readonly kind: 'factor'; readonly factor: number; readonly uRelative: number }
  | { readonly kind: NotFor }

/** For salt and for temperature: what the probe stands in against what it was calibrated in. */
const useFactor = (
  data: CalibrationInForce['data'],
  usedIn: FluidNamed | undefined,
  temperatureC: number | undefined,
): UseFactor => {
  const { fluid, fluid_detail: detail, senses, compensation, temperature_c: calibratedAtC } = data
  const calibratedIn = fluid === undefined ? undefined : { fluid, detail }
  const salt = fluidFactor({ calibratedIn, usedIn, senses, temperatureC, calibratedAtC })
  if (usedIn === undefined || salt.kind !== 'factor') return salt
  const warmth = temperatureFactor({ compensation, senses, calibratedAtC, temperatureC })
  if (warmth.kind !== 'factor') return warmth
  return {
    kind: 'factor',
    factor: salt.factor * warmth.factor,
    uRelative: Math.hypot(salt.uRelative, warmth.uRelative),
  }
}

/** The value to use. A calibration that is not for this fluid or temperature changes nothing: the value is as sent, uncalibrated. */
export const corrected = (reading: number, how: Correcting): number =>
  how.kind === 'calibrated' ? ((reading - how.by.data.zero) / how.by.data.slope) * how.factor : reading
