import type { DecayOrder } from '../model/decay-order.ts'
import { type CurveData, type CurveFit, type CurveRefusal, fitCurve } from './curve-fit.ts'
import { type Interval, linearInterval, logInterval } from './interval.ts'
import { at, quadratic } from './linear-algebra.ts'
import { orderShape } from './rate-shape.ts'
import { besideTransient, decayModel, flooredModel } from './separable-model.ts'
import { tQuantiles } from './student-t.ts'

export interface DecayData extends CurveData {
  readonly order: DecayOrder
  /** Times at which the amplitude may step (draw-ups); the rate is shared over all segments. */
  readonly breaks?: readonly number[]
  /** The times in the clock the decay goes by, where the temperature changes; increasing times only. */
  readonly clock?: (times: Float64Array) => Float64Array
  /** Time constant of a probe whose own transient is fitted beside the decay, in the unit of the times; one segment. */
  readonly transient?: number
  /** True to fit a level the decay settles on, such as a zero offset of the meter; one segment only. */
  readonly floored?: boolean
}

/**
 * C(t) = C0·e^(−k t), or order n in units of its starting rate κ = k·C0^(n−1): C = C0·(1 + (n − 1)κt)^(1/(1−n)).
 * t in minutes since flow-off, C in mg/L.
 */
export interface DecayFit {
  readonly kind: 'fitted'
  readonly order: DecayOrder
  /** C0 of each segment, extrapolated back to t = 0; above the floor if there is one. */
  readonly starts: Float64Array
  /** Level the reading settles on; 0 unless fitted. Its standard error beside it. */
  readonly floor: number
  readonly floorSe: number
  /** Starting rate κ, 1/min; the decay rate for order 1. */
  readonly rate: number
  /** p×p over (starts, ln rate). */
  readonly covariance: Float64Array
  readonly t: number
  readonly tOneSided: number
  readonly curve: Extract<CurveFit, { kind: 'fitted' }>
}

export type Decay = DecayFit | { readonly kind: 'refused'; readonly why: CurveRefusal }

export const fitDecay = (data: DecayData): Decay => {
  const breaks = data.breaks ?? []
  const shape = orderShape(data.order, undefined)
  const clock = data.clock ?? ((times: Float64Array) => times)
  const curve = fitCurve(data, (times) =>
    data.floored === true
      ? flooredModel(clock(times), shape)
      : besideTransient(
          decayModel(clock(times), shape, segmentsOf(times, breaks), breaks.length + 1),
          times,
          data.transient,
        ),
  )
  if (curve.kind === 'refused') return curve
  const { twoSided, oneSided } = tQuantiles(curve.degreesOfFreedom)
  const common = {
    kind: 'fitted' as const,
    order: data.order,
    rate: curve.rate,
    t: twoSided,
    tOneSided: oneSided,
    curve,
  }
  const c = curve.covariance
  return data.floored === true
    ? {
        ...common,
        starts: curve.linear.slice(1),
        floor: at(curve.linear, 0),
        floorSe: Math.sqrt(at(c, 0)),
        covariance: Float64Array.of(at(c, 4), at(c, 5), at(c, 7), at(c, 8)),
      }
    : { ...common, ...withoutTransient(curve, data.transient !== undefined), floor: 0, floorSe: 0 }
}

/** The amplitude of the transient is of no interest: its row and column are left out, not held. */
const withoutTransient = (
  { linear, covariance }: Extract<CurveFit, { kind: 'fitted' }>,
  hasTransient: boolean,
): Pick<DecayFit, 'starts' | 'covariance'> => {
  if (!hasTransient) return { starts: linear, covariance }
  const size = linear.length + 1
  const left = size - 2
  const kept = (i: number) => Math.floor(i / size) !== left && i % size !== left
  return { starts: linear.slice(0, left), covariance: covariance.filter((_, i) => kept(i)) }
}

const segmentsOf = (times: Float64Array, breaks: readonly number[]): Uint8Array | undefined =>
  breaks.length === 0 ? undefined : Uint8Array.from(times, (t) => breaks.filter((b) => t >= b).length)

/** The fraction left at t minutes and its derivative by ln(rate). */
export const leftAt = (fit: DecayFit, minutes: number): { left: number; slope: number } => {
  const left = new Float64Array(1)
  const slope = new Float64Array(1)
  orderShape(fit.order, undefined)(fit.rate, Float64Array.of(minutes), left, slope)
  return { left: at(left, 0), slope: at(slope, 0) }
}

/** C at t minutes in the last segment, and the standard error of that mean. */
export const decayedAt = (fit: DecayFit, minutes: number): { value: number; se: number } => {
  const { left, slope } = leftAt(fit, minutes)
  const last = fit.starts.length - 1
  const gradient = new Float64Array(fit.starts.length + 1)
  gradient[last] = left
  gradient[last + 1] = at(fit.starts, last) * slope
  return {
    value: fit.floor + at(fit.starts, last) * left,
    se: Math.sqrt(quadratic(gradient, fit.covariance, gradient)),
  }
}

const logRateSe = (fit: DecayFit): number => Math.sqrt(at(fit.covariance, fit.covariance.length - 1))

export const decayRateInterval = (fit: DecayFit): Interval => logInterval(fit.rate, logRateSe(fit), fit.t)

export const decayStartInterval = (fit: DecayFit): Interval =>
  linearInterval(at(fit.starts, 0), Math.sqrt(at(fit.covariance, 0)), fit.t)

/** Minutes to half of C0 · (2^(n−1) − 1)/((n − 1)·κ), ln 2/k for order 1. Interval on the log scale. */
export const halfLifeInterval = (fit: DecayFit): Interval => {
  const folds = fit.order === 1 ? Math.LN2 : (2 ** (fit.order - 1) - 1) / (fit.order - 1)
  return logInterval(folds / fit.rate, logRateSe(fit), fit.t)
}
