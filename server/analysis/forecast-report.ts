import { type DecayState, HORIZON_MIN } from '../forecast/decay-state.ts'
import { slowestRate } from '../forecast/rate-posterior.ts'
import { type TimeToTarget, timeToTarget } from '../forecast/time-to-target.ts'
import { type WarmingAhead, warmingAhead, warmingUnknown } from '../forecast/warming-ahead.ts'
import { isoAt } from './batch-context.ts'
import { temperatureCourse } from './batch-temperature.ts'
import { ORDER_HALF_LIVES } from './decay-kind.ts'
import { decayStateNow } from './decay-state.ts'
import type { BatchFits, PhaseResult } from './fit-batch.ts'
import type { AnalysisInput } from './input.ts'
import type { PotencyNow } from './potency-now.ts'
import type { Reason } from './quantity-schema.ts'
import type { AnalysedForecast } from './schema.ts'

export type Forecast =
  | ({
      readonly kind: 'known'
      readonly basis: 'readings' | 'history' | 'expectation'
      readonly ifOffNow: boolean
      readonly notes: readonly string[]
    } & TimeToTarget)
  | { readonly kind: 'refused'; readonly why: Reason }

/** Minutes from `atS` until potency reaches the target; while gas flows, as if everything were shut off now. */
export const forecastFrom = (
  fits: BatchFits,
  result: PhaseResult | undefined,
  potency: PotencyNow | undefined,
  atS: number,
  target: number,
): Forecast => {
  if (result === undefined) return { kind: 'refused', why: 'not-bubbled-yet' }
  if (!result.phase.open && result.phase.endS <= atS) return { kind: 'refused', why: 'nothing-left' }
  if (potency === undefined) return { kind: 'refused', why: 'too-few-readings' }
  if (potency.value <= target) return { kind: 'refused', why: 'below-target-already' }
  const now = decayStateNow(fits, result, potency, atS)
  if (now.kind === 'refused') return now
  const warming = warmingOf(fits.input, atS)
  const time = timeToTarget(now.state, target, warming)
  if (time.expected >= HORIZON_MIN) return { kind: 'refused', why: 'outlasts-the-record' }
  const isWarming = Math.abs(warming.expected.roomC - warming.expected.nowC) > 2
  const late = lagAllowance(fits, result)
  const sooner = (minutes: number) => Math.max(0, minutes - late)
  return {
    kind: 'known',
    ...time,
    early: sooner(time.early),
    ci95: [
      sooner(time.ci95[0]),
      Math.min(HORIZON_MIN, Math.max(time.ci95[1], ifOtherOrder(result, now.state, target))),
    ],
    basis: now.basis,
    ifOffNow: result.kind !== 'decay',
    notes: [
      ...(temperatureCourse(fits.input) === undefined
        ? ['no thermometer: the early bound assumes warming']
        : []),
      ...(isWarming ? ['the fluid is not at room temperature: its rate is carried along'] : []),
      ...(fits.input.calibration === undefined
        ? ['not calibrated: the meter’s own error is not in the interval']
        : []),
    ],
  }
}

/** A probe of unknown response shows the fluid of a while ago: the crossing comes that much before it is seen, min. */
const UNKNOWN_LAG = 0.5
const SLOW_LAG = 1.5

const lagAllowance = (fits: BatchFits, result: PhaseResult): number => {
  if (
    fits.input.probeLag !== undefined ||
    fits.input.readingUPercent !== undefined ||
    result.kind !== 'decay'
  )
    return 0
  return fits.results.some((r) => r.kind === 'rise' && r.lagSuspected) ? SLOW_LAG : UNKNOWN_LAG
}

/**
 * Until the record can tell its order, a decay may slow down like one of order 2 · (C/target − 1)/κ. The rate fitted is
 * that of the middle of the record; at its end such a decay is slower by the ratio of the two values.
 */
const ifOtherOrder = (result: PhaseResult, state: DecayState, target: number): number => {
  const slowest = slowestRate(state.seen, state.prior)
  const folds = state.potency / target - 1
  if (result.kind !== 'decay' || result.fit === undefined || state.seen === undefined) return folds / slowest
  const { times } = result.readings
  const gone = ((times[times.length - 1] ?? 0) - (times[0] ?? 0)) * Math.max(0, state.seen.rate)
  if (state.order !== 1 || gone > ORDER_HALF_LIVES * Math.LN2) return 0
  return folds / (slowest * Math.exp(-gone / 2))
}

const warmingOf = (input: AnalysisInput, atS: number): WarmingAhead => {
  const course = temperatureCourse(input)
  return course === undefined
    ? warmingUnknown(input.expectation?.temperatureC, input.roomC)
    : warmingAhead(course, atS, input.roomC)
}

/** The forecast as the document states it. */
export const describeForecast = (
  input: AnalysisInput,
  forecast: Forecast,
  atS: number,
  target: number,
): AnalysedForecast => {
  if (forecast.kind === 'refused') return { target_mg_l: target, refused: forecast.why, notes: [] }
  const when = (minutes: number) => isoAt(input, atS + 60 * minutes)
  return {
    target_mg_l: target,
    reaches_target_at: when(forecast.expected),
    early_bound_at: when(forecast.early),
    ci95: [when(forecast.ci95[0]), when(forecast.ci95[1])],
    basis: forecast.basis,
    ...(forecast.ifOffNow ? { if_off_now: true as const } : {}),
    notes: [...forecast.notes],
  }
}
