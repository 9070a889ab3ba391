import {
  type DecayFit,
  decayRateInterval,
  decayStartInterval,
  fitDecay,
  halfLifeInterval,
} from '../fit/decay-fit.ts'
import { at } from '../fit/linear-algebra.ts'
import type { DecayOrder } from '../model/decay-order.ts'
import type { TemperatureCourse } from '../model/warped-time.ts'
import type { Phase } from '../phase/phase.ts'
import { type BatchContext, curveData, isoAt, lagMinutes } from './batch-context.ts'
import { temperatureOver, temperatureRange } from './batch-temperature.ts'
import { decayAt20c, type WarmedDecay } from './decay-at-20c.ts'
import { type PhaseReadings, phaseReadings } from './phase-readings.ts'
import { atLeast, estimate, relativeHalfWidth, USELESS } from './quantities.ts'
import type { AnalysedDecay } from './schema.ts'

export interface DecayResult {
  readonly kind: 'decay'
  readonly phase: Phase
  readonly report: AnalysedDecay
  readonly readings: PhaseReadings
  /** Minutes after flow-off from which readings count. */
  readonly settledMinutes: number
  readonly fit?: DecayFit
  /** First order over the measured temperature; present when a thermometer covers the phase. */
  readonly warmed?: WarmedDecay
  /** True potency over what the lagging probe shows: 1 − kτ. */
  readonly lagFactor: number
}

/** Probe time constants until its own transient is over. */
const SETTLE_FOLDS = 5
/** Left out when the probe's response is unknown, if the phase is long enough to spare it. */
const UNKNOWN_SETTLE_MIN = 1
/** Another order is believed only over this many half-lives and by this AICc margin. */
const ORDER_HALF_LIVES = 1.5
const ORDER_MARGIN = 10
/** Faster than this after flow-off is stripping, not standing, 1/min. */
const STILL_FLOWING = 0.1
/** A change of temperature that shows in the rate. */
const WARMED_BY_K = 2

export const analyseDecay = (context: BatchContext, phase: Phase): DecayResult => {
  const { input } = context
  const lag = lagMinutes(input)
  const lasts = (phase.endS - phase.startS) / 60
  const isSpot = input.readingUPercent !== undefined
  const unknown = isSpot || !phase.startSeen || lasts < 5 ? 0 : UNKNOWN_SETTLE_MIN
  const settledMinutes = lag === undefined ? unknown : SETTLE_FOLDS * lag.tau
  const readings = phaseReadings(context.readings, phase, phase.startSeen ? settledMinutes : 0)
  const common = {
    kind: 'decay' as const,
    start: isoAt(input, phase.startS),
    end: isoAt(input, phase.endS),
    found_by: phase.foundBy,
    notes: [...phase.notes, ...(phase.startSeen ? [] : ['the record begins in mid-decay'])],
  }
  const base = { kind: 'decay' as const, phase, readings, settledMinutes }
  const data = {
    ...curveData(input, readings),
    breaks: usableBreaks(phase, readings),
  }
  const fit = fitDecay({ ...data, order: 1 })
  if (fit.kind === 'refused')
    return { ...base, lagFactor: 1, report: { ...common, ...unfitted(readings, fit.why) } }
  const course = temperatureOver(input, phase)
  const warmed =
    course && decayAt20c({ ...data, order: 1 }, phase.startS, course, fit.curve.effectiveReadings)
  const ordered = isWarmed(course, phase) ? fit : bestOrder(fit, data, readings)
  const lagFactor = lag === undefined ? 1 : 1 - ordered.rate * lag.tau
  const halfLife = halfLifeInterval(ordered)
  const notes = [...common.notes, ...fitNotes(course, phase, ordered, readings)]
  const report = {
    ...common,
    notes,
    residual_sd_mg_l: ordered.curve.residualSd,
    n: ordered.curve.n,
    n_eff: ordered.curve.effectiveReadings,
    start_mg_l: scaled(decayStartInterval(ordered), lagFactor),
  }
  const result = {
    ...base,
    lagFactor,
    fit: ordered,
    ...(warmed === undefined ? {} : { warmed }),
  }
  if (relativeHalfWidth(halfLife) > USELESS) {
    const why = 'interval-too-wide' as const
    return {
      ...result,
      report: { ...report, status: 'bounded', half_life_min: atLeast(halfLife.ci95[0], why) },
    }
  }
  return {
    ...result,
    report: {
      ...report,
      status: 'fitted',
      order: ordered.order,
      half_life_min: estimate(halfLife),
      ...(ordered.order === 1 ? { rate_per_min: estimate(decayRateInterval(ordered)) } : {}),
      ...(warmed === undefined || relativeHalfWidth(warmed.halfLife) > 2 * USELESS
        ? {}
        : { half_life_20c_min: estimate(warmed.halfLife) }),
    },
  }
}

const unfitted = (
  readings: PhaseReadings,
  why: 'too-few-readings' | 'no-convergence' | 'no-change' | 'noise-not-estimated',
) =>
  readings.values.length === 0 && readings.clipped !== undefined
    ? { status: 'refused' as const, why: 'clipped' as const }
    : { status: 'refused' as const, why }

const scaled = (interval: ReturnType<typeof decayStartInterval>, factor: number) =>
  estimate({
    value: interval.value * factor,
    se: interval.se * factor,
    ci95: [interval.ci95[0] * factor, interval.ci95[1] * factor],
  })

/** A draw-up may step the reading; a segment needs half a minute and eight readings to have its own amplitude. */
const usableBreaks = (phase: Phase, readings: PhaseReadings): number[] => {
  const breaks: number[] = []
  for (const s of phase.drawnUpS) {
    const minutes = (s - phase.startS) / 60
    const since = breaks.at(-1) ?? Number.NEGATIVE_INFINITY
    const before = readings.times.filter((t) => t >= since && t < minutes).length
    const after = readings.times.filter((t) => t >= minutes).length
    if (before >= 8 && after >= 8 && minutes - since > 0.5) breaks.push(minutes)
  }
  return breaks
}

type Data = Omit<Parameters<typeof fitDecay>[0], 'order'>

/** First order unless the record is long and another is clearly better by AICc on effective readings. */
const bestOrder = (first: DecayFit, data: Data, readings: PhaseReadings): DecayFit => {
  const span = at(readings.times, readings.times.length - 1) - at(readings.times, 0)
  if (data.knownSd !== undefined || span * first.rate < ORDER_HALF_LIVES * Math.LN2) return first
  let best = first
  let margin = ORDER_MARGIN
  for (const order of [1.5, 2] as readonly DecayOrder[]) {
    const fit = fitDecay({ ...data, order })
    if (fit.kind === 'refused') continue
    const gain = 2 * fit.curve.effectiveReadings * Math.log(first.curve.residualSd / fit.curve.residualSd)
    if (gain > margin) {
      best = fit
      margin = gain
    }
  }
  return best
}

const isWarmed = (course: TemperatureCourse | undefined, phase: Phase): boolean => {
  const range = course && temperatureRange(course, phase)
  return range !== undefined && range[1] - range[0] > WARMED_BY_K
}

const fitNotes = (
  course: TemperatureCourse | undefined,
  phase: Phase,
  fit: DecayFit,
  readings: PhaseReadings,
): string[] => {
  const range = course && temperatureRange(course, phase)
  return [
    ...(fit.order === 1 && fit.rate > STILL_FLOWING
      ? ['falls faster than fluid standing still: gas still flowing?']
      : []),
    ...(range !== undefined && range[1] - range[0] > WARMED_BY_K
      ? [
          `fluid went from ${range[0].toFixed(1)} to ${range[1].toFixed(1)} °C: compare batches by the half-life at 20 °C`,
        ]
      : []),
    ...(range === undefined ? ['no fluid temperature: half-life cannot be brought to 20 °C'] : []),
    ...(readings.clipped === undefined ? [] : ['readings at the end of the meter’s range were set aside']),
    ...(fit.curve.fromHistory
      ? ['too few independent readings: noise taken from this instrument’s history']
      : []),
    ...(fit.order === 1 ? [] : [`follows order ${fit.order}: its half-life depends on the starting value`]),
    ...(fit.starts.length > 1 ? ['each draw-up may step the reading: steps fitted, rate shared'] : []),
  ]
}
