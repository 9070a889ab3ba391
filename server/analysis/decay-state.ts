import { celsius } from '../../ingest/units.ts'
import { leftAt } from '../fit/decay-fit.ts'
import { at } from '../fit/linear-algebra.ts'
import type { DecayState } from '../forecast/decay-state.ts'
import { priorFromExpectation, priorFromHistory, type RatePrior } from '../forecast/rate-prior.ts'
import { arrheniusFactor } from '../model/arrhenius.ts'
import { expectation } from '../model/expectation.ts'
import { halfLifePrior } from '../model/half-life-prior.ts'
import { type TemperatureCourse, temperatureAt } from '../model/warped-time.ts'
import { calibrationU } from '../verdict/decision.ts'
import { temperatureCourse } from './batch-temperature.ts'
import { ORDER_HALF_LIVES } from './decay-kind.ts'
import type { DecayResult } from './decay-report.ts'
import type { BatchFits, PhaseResult } from './fit-batch.ts'
import type { HeadlineDecay } from './headline-decay.ts'
import type { AnalysisInput } from './input.ts'
import { orderOdds } from './order-odds.ts'
import type { PotencyNow } from './potency-now.ts'
import type { Reason } from './quantity-schema.ts'

export type StateNow =
  | {
      readonly kind: 'known'
      readonly state: DecayState
      readonly basis: 'readings' | 'history' | 'expectation'
    }
  | { readonly kind: 'refused'; readonly why: Reason }

/** Taken for the fluid when neither it nor its temperature is known, °C. Engineering judgement. */
const USUAL_C = 20

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
  const known = priorOf(input, nowC)
  const calibration = (calibrationU(potency.value, input.calibration) / potency.value) ** 2
  const own = result?.kind === 'decay' ? fromDecay(result, potency, course, atS) : undefined
  if (own === undefined && known === undefined && !hasBegun(result))
    return { kind: 'refused', why: 'no-basis' }
  const prior = known ?? anyFluid(nowC)
  const state = own ?? {
    order: 1 as const,
    potency: potency.value,
    potencyVariance: (potency.se / potency.value) ** 2,
  }
  return {
    kind: 'known',
    basis: isSurer(own, prior) ? 'readings' : prior.basis,
    state: { ...state, prior, potencyVariance: state.potencyVariance + calibration },
  }
}

/** The readings of a decay tell its rate better than was known before them. */
const isSurer = (own: DecayState | undefined, prior: RatePrior): boolean =>
  own?.seen !== undefined && own.seen.rateSe < prior.sd * Math.max(own.seen.rate, 0)

/** A fluid nobody named: from the fastest to the slowest decay published, so that noise is not taken for either. */
const anyFluid = (nowC: number | undefined): RatePrior => {
  const band = halfLifePrior('other', celsius(nowC ?? USUAL_C))
  return priorFromExpectation(band, band.low)
}

/** Readings of a standing flask that noise has kept from showing any fall yet: no rate, but a decay that has begun. */
const BEGUN = 30

const hasBegun = (result: PhaseResult | undefined): boolean =>
  result?.kind === 'decay' && result.readings.times.length >= BEGUN

const priorOf = (input: AnalysisInput, nowC: number | undefined): RatePrior | undefined => {
  const past = input.history?.halfLife20cMin
  if (past !== undefined) return priorFromHistory(past, input.history?.batches ?? 1, nowC)
  if (input.expectation === undefined) return undefined
  const temperatureC = nowC ?? input.expectation.temperatureC
  const band = expectation({ ...input.expectation, temperatureC }).half_life_min
  return priorFromExpectation(band, halfLifePrior('other', celsius(temperatureC)).low)
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
  const { left } = leftAt(fit, minutes)
  // d ln C/d k at this moment, sign changed; t for first order
  const reach = fit.order === 1 ? minutes : minutes / (1 + (fit.order - 1) * fit.rate * minutes)
  const linear = linearRate(fit)
  const amplitude = at(fit.starts, p - 2)
  const amplitudeVariance = at(fit.covariance, (p - 2) * p + p - 2) / amplitude ** 2
  const cross = (at(fit.covariance, (p - 2) * p + p - 1) / amplitude) * linear.perLog
  const rateVariance = at(fit.covariance, p * p - 1) * linear.perLog ** 2
  const warmth =
    warmed === undefined || course === undefined
      ? 1
      : arrheniusFactor(celsius(temperatureAt(course, atS)), warmed.energyKj)
  const toNow = left ** (fit.order - 1) * warmth
  return {
    order: fit.order,
    potency: potency.value,
    // ln C(t) = ln A − k·t: the variance now is smaller than at either end of the record
    potencyVariance:
      Math.max(
        amplitudeVariance + reach ** 2 * rateVariance - 2 * reach * cross,
        (potency.se / potency.value) ** 2,
      ) + stepUnseen(result),
    seen: {
      rate: linear.rate * toNow,
      rateSe: Math.sqrt(rateVariance) * toNow,
      covariance: (cross - reach * rateVariance) * toNow,
      degreesOfFreedom: fit.curve.degreesOfFreedom,
    },
    ...(warmed === undefined || headline.meanC === undefined ? {} : { learntAtC: headline.meanC }),
    ...(isShortFirstOrder(headline, result)
      ? { orders: orderOdds(result.readings.times, result.readings.values, linear.rate, minutes) }
      : {}),
  }
}

/** A longer record is reported by its own order; draw-ups and warming bend a record as well. */
const isShortFirstOrder = ({ fit, warmed }: HeadlineDecay, { readings }: DecayResult): boolean => {
  const lasts = (readings.times.at(-1) ?? 0) - (readings.times[0] ?? 0)
  const isPlain = fit.order === 1 && fit.floor === 0 && fit.starts.length === 1 && warmed === undefined
  return isPlain && fit.rate * lasts < ORDER_HALF_LIVES * Math.LN2
}

/**
 * The fit steps from a white-noise fit, along a line in k; where that leads below nothing, as noise may turn a slope
 * upward, the reported rate stays above it and the line itself is taken up again here.
 */
const linearRate = ({ rate, curve }: HeadlineDecay['fit']): { rate: number; perLog: number } => {
  const from = curve.whiteNoise.rate
  return rate < from ? { rate: from * (1 + Math.log(rate / from)), perLog: from } : { rate, perLog: rate }
}
