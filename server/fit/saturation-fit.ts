import { type CurveData, type CurveFit, type CurveRefusal, fitCurve } from './curve-fit.ts'
import { type Interval, linearInterval, logInterval } from './interval.ts'
import { type LagSensitivity, lagSensitivity } from './lag-sensitivity.ts'
import { at, quadratic } from './linear-algebra.ts'
import { exponentialShape, laggedShape } from './rate-shape.ts'
import { riseModel } from './separable-model.ts'
import { tQuantiles } from './student-t.ts'

export interface SaturationData extends CurveData {
  /** Probe time constant with its standard uncertainty, in the unit of the times. Absent: no lag in the model. */
  readonly lag?: { readonly tau: number; readonly u: number }
}

/**
 * C(t) = Css − (Css − C0)·e^(−k t), t in minutes since ozone-on, C in mg/L; with a known probe lag its two-exponential
 * form. Valid where temperature, gas and flow are steady. ASCE/EWRI 2-06 (clean-water oxygen transfer); Brown &
 * Baillod, J. Environ. Eng. Div. ASCE 108, 607 (1982).
 */
export interface SaturationFit {
  readonly kind: 'fitted'
  readonly plateau: number
  readonly start: number
  readonly rate: number
  /** 3×3 over (plateau, start, ln rate). */
  readonly covariance: Float64Array
  readonly t: number
  readonly tOneSided: number
  readonly curve: Extract<CurveFit, { kind: 'fitted' }>
}

export type Saturation = SaturationFit | { readonly kind: 'refused'; readonly why: CurveRefusal }

export const fitSaturation = (data: SaturationData): Saturation => {
  const { lag } = data
  const shape = lag === undefined || lag.tau === 0 ? exponentialShape(undefined) : laggedShape(lag.tau)
  const curve = fitCurve(data, (times) => riseModel(times, shape))
  if (curve.kind === 'refused') return curve
  const sensitivity = lag === undefined ? undefined : lagSensitivity(data, curve, lag)
  const { twoSided, oneSided } = tQuantiles(curve.degreesOfFreedom)
  const plateau = at(curve.linear, 0)
  return {
    kind: 'fitted',
    plateau,
    start: plateau + at(curve.linear, 1),
    rate: curve.rate,
    covariance: covarianceOf(curve.covariance, sensitivity),
    t: twoSided,
    tOneSided: oneSided,
    curve,
  }
}

/** From (Css, C0 − Css, ln k) to (Css, C0, ln k), with u(τ) added as its own, fully correlated part. */
const covarianceOf = (model: Float64Array, lag: LagSensitivity | undefined): Float64Array => {
  const rows = [
    [1, 0, 0],
    [1, 1, 0],
    [0, 0, 1],
  ]
  const out = new Float64Array(9)
  for (let a = 0; a < 3; a++)
    for (let b = 0; b < 3; b++) {
      const added = lag === undefined ? 0 : at(lag.shift, a) * at(lag.shift, b)
      out[a * 3 + b] = quadratic(rows[a] ?? [], model, rows[b] ?? []) + added
    }
  return out
}

/** C at t minutes, without the probe's lag, and the standard error of that mean. */
export const potencyAt = (fit: SaturationFit, minutes: number): { value: number; se: number } => {
  const left = Math.exp(-fit.rate * minutes)
  const gradient = [1 - left, left, (fit.plateau - fit.start) * fit.rate * minutes * left]
  return {
    value: fit.plateau - (fit.plateau - fit.start) * left,
    se: Math.sqrt(quadratic(gradient, fit.covariance, gradient)),
  }
}

export const plateauInterval = (fit: SaturationFit): Interval =>
  linearInterval(fit.plateau, Math.sqrt(at(fit.covariance, 0)), fit.t)

export const startInterval = (fit: SaturationFit): Interval =>
  linearInterval(fit.start, Math.sqrt(at(fit.covariance, 4)), fit.t)

export const rateInterval = (fit: SaturationFit): Interval =>
  logInterval(fit.rate, Math.sqrt(at(fit.covariance, 8)), fit.t)

/** Minutes from zero to 95 % of the plateau · ln 20/k: what trials compare. */
export const t95FromZeroInterval = (fit: SaturationFit): Interval =>
  logInterval(Math.log(20) / fit.rate, Math.sqrt(at(fit.covariance, 8)), fit.t)

/**
 * Minutes from ozone-on to 95 % of the plateau from the actual start · ln((Css − C0)/(0.05·Css))/k; 0 if already
 * above. Delta method on ln t95 with the full covariance.
 */
export const t95Interval = (fit: SaturationFit): Interval => {
  const toGo = (fit.plateau - fit.start) / (0.05 * fit.plateau)
  if (!(toGo > 1)) return { value: 0, se: 0, ci95: [0, 0] }
  const folds = Math.log(toGo)
  const gradient = [
    (1 / (fit.plateau - fit.start) - 1 / fit.plateau) / folds,
    -1 / (fit.plateau - fit.start) / folds,
    -1,
  ]
  return logInterval(folds / fit.rate, Math.sqrt(quadratic(gradient, fit.covariance, gradient)), fit.t)
}
