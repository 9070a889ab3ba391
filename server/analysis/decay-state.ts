import { celsius } from '../../ingest/units.ts'
import { leftAt } from '../fit/decay-fit.ts'
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

/** What a draw-up may do to the value by stirring and by the changed level, as a part of it. Engineering judgement. */
const DRAW_UP_STEP = 0.05

/** Until the readings after a draw-up have their own level in the fit, its step is only feared. */
const stepUnseen = ({ phase, headline }: DecayResult): number =>
  phase.drawnUpS.length >= (headline?.fit.starts.length ?? 1) ? DRAW_UP_STEP ** 2 : 0

/** Where the fitted decay stands, in its own clock; a warmed one is brought to the temperature now. */
const fromDecay = (
  result: DecayResult,
  potency: PotencyNow,
  course: TemperatureCourse | undefined,
  atS: number,
): DecayState | undefined => {
  const { headline, phase } = result
  if (headline === undefined) return undefined
  const { fit, warmed } = headline
  const minutes = headline.clock((atS - phase.startS) / 60)
  const p = fit.starts.length + 1
  const amplitude = at(fit.starts, p - 2)
  const { left } = leftAt(fit, minutes)
  // d ln C/d ln rate at this moment; −k·t for first order
  const gone =
    fit.order === 1 ? fit.rate * minutes : (fit.rate * minutes) / (1 + (fit.order - 1) * fit.rate * minutes)
  const amplitudeVariance = at(fit.covariance, (p - 2) * p + p - 2) / amplitude ** 2
  const cross = at(fit.covariance, (p - 2) * p + p - 1) / amplitude
  const rateVariance = at(fit.covariance, p * p - 1)
  const warmth =
    warmed === undefined || course === undefined
      ? 1
      : arrheniusFactor(celsius(temperatureAt(course, atS)), warmed.energyKj)
  return {
    order: fit.order,
    potency: potency.value,
    rate: fit.rate * left ** (fit.order - 1) * warmth,
    // ln C(t) = ln A − k·t: the variance now is smaller than at either end of the record
    potencyVariance:
      Math.max(
        amplitudeVariance + gone ** 2 * rateVariance - 2 * gone * cross,
        (potency.se / potency.value) ** 2,
      ) + stepUnseen(result),
    rateVariance,
    covariance: cross - gone * rateVariance,
    twoSided: fit.t,
    oneSided: fit.tOneSided,
    ...(warmed === undefined || headline.meanC === undefined ? {} : { learntAtC: headline.meanC }),
  }
}
