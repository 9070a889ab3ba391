import { celsius } from '../../ingest/units.ts'
import { at } from '../fit/linear-algebra.ts'
import {
  combined,
  fromPriorAlone,
  priorFromExpectation,
  priorFromHistory,
  type RatePrior,
} from '../forecast/rate-prior.ts'
import type { DecayState } from '../forecast/time-to-target.ts'
import { arrheniusFactor } from '../model/arrhenius.ts'
import { expectation } from '../model/expectation.ts'
import { type TemperatureCourse, temperatureAt } from '../model/warped-time.ts'
import { calibrationU } from '../verdict/decision.ts'
import { temperatureCourse } from './batch-temperature.ts'
import type { DecayResult } from './decay-report.ts'
import type { BatchFits, PhaseResult } from './fit-batch.ts'
import type { AnalysisInput } from './input.ts'
import type { PotencyNow } from './potency-now.ts'
import type { Reason } from './quantity-schema.ts'

export type StateNow =
  | {
      readonly kind: 'known'
      readonly state: DecayState
      readonly basis: 'readings' | 'history' | 'expectation'
    }
  | { readonly kind: 'refused'; readonly why: Reason }

/** Above this standard error of ln(rate), readings alone give no forecast. */
const USELESS_LOG_SE = 0.35

/** Where the decay stands at `atS`, calibration uncertainty included; while gas flows, as if it were shut off now. */
export const decayStateNow = (
  fits: BatchFits,
  result: PhaseResult | undefined,
  potency: PotencyNow,
  atS: number,
): StateNow => {
  const { input } = fits
  const course = temperatureCourse(input)
  const nowC = course === undefined ? input.expectation?.temperatureC : temperatureAt(course, atS)
  const prior = priorOf(input, nowC)
  const potencyVariance = (potency.se / potency.value) ** 2
  const calibration = (calibrationU(potency.value, input.calibration) / potency.value) ** 2
  const own = result?.kind === 'decay' ? fromDecay(result, potency, course, atS) : undefined
  if (own === undefined) {
    if (prior === undefined) return { kind: 'refused', why: 'no-basis' }
    return {
      kind: 'known',
      basis: prior.basis,
      state: fromPriorAlone(potency.value, potencyVariance + calibration, prior),
    }
  }
  const { state, weight } = prior === undefined ? { state: own, weight: 1 } : combined(own, prior)
  if (prior === undefined && Math.sqrt(own.rateVariance) > USELESS_LOG_SE)
    return { kind: 'refused', why: 'interval-too-wide' }
  const basis = prior === undefined || weight > 0.5 ? 'readings' : prior.basis
  const withCalibration = { ...state, potencyVariance: state.potencyVariance + calibration }
  return { kind: 'known', basis, state: withCalibration }
}

const priorOf = (input: AnalysisInput, nowC: number | undefined): RatePrior | undefined => {
  const past = input.history?.halfLife20cMin
  if (past !== undefined) return priorFromHistory(past, input.history?.batches ?? 1, nowC)
  if (input.expectation === undefined) return undefined
  const temperatureC = nowC ?? input.expectation.temperatureC
  return priorFromExpectation(expectation({ ...input.expectation, temperatureC }).half_life_min)
}

/** From the fit over the measured temperature where there is one, else from the plain fit. */
const fromDecay = (
  result: DecayResult,
  potency: PotencyNow,
  course: TemperatureCourse | undefined,
  atS: number,
): DecayState | undefined => {
  const { fit, warmed, phase } = result
  if (fit === undefined) return undefined
  const minutes = (atS - phase.startS) / 60
  const usesWarmth = warmed !== undefined && course !== undefined && fit.order === 1
  const source = usesWarmth ? warmed.fit : fit
  const p = source.starts.length + 1
  const amplitude = at(source.starts, p - 2)
  const relative = (a: number, b: number) => at(source.covariance, a * p + b)
  const gone = source.rate * elapsed(usesWarmth, minutes, result, potency)
  const amplitudeVariance = relative(p - 2, p - 2) / amplitude ** 2
  const cross = relative(p - 2, p - 1) / amplitude
  const rateVariance = relative(p - 1, p - 1)
  const factor = usesWarmth
    ? arrheniusFactor(celsius(temperatureAt(course, atS)), warmed.energyKj)
    : (potency.value / (amplitude * result.lagFactor)) ** (fit.order - 1)
  return {
    order: fit.order,
    potency: potency.value,
    rate: source.rate * factor,
    // ln C(t) = ln A − k·t: the variance now is smaller than at either end of the record
    potencyVariance: Math.max(
      amplitudeVariance + gone ** 2 * rateVariance - 2 * gone * cross,
      (potency.se / potency.value) ** 2,
    ),
    rateVariance,
    covariance: cross - gone * rateVariance,
    twoSided: source.t,
    oneSided: source.tOneSided,
    ...(usesWarmth ? { learntAtC: meanTemperature(course, phase.startS, atS) } : {}),
  }
}

/** Minutes of decay behind us, in the time of the fit in use. */
const elapsed = (usesWarmth: boolean, minutes: number, result: DecayResult, potency: PotencyNow): number => {
  if (!usesWarmth || result.warmed === undefined) return minutes
  const { fit } = result.warmed
  const start = at(fit.starts, fit.starts.length - 1) * result.lagFactor
  return Math.max(0, Math.log(start / potency.value) / fit.rate)
}

const meanTemperature = (course: TemperatureCourse, fromS: number, toS: number): number => {
  let sum = 0
  const steps = 12
  for (let i = 0; i <= steps; i++) sum += temperatureAt(course, fromS + ((toS - fromS) * i) / steps)
  return sum / (steps + 1)
}
