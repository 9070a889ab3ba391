import type { CurveRefusal } from '../fit/curve-fit.ts'
import { decayStartInterval } from '../fit/decay-fit.ts'
import type { TemperatureCourse } from '../model/warped-time.ts'
import { lowerBound } from '../phase/lower-bound.ts'
import type { Phase } from '../phase/phase.ts'
import { type BatchContext, curveData, isoAt, lagMinutes } from './batch-context.ts'
import { temperatureOver, temperatureRange } from './batch-temperature.ts'
import { decayUnderLag } from './decay-under-lag.ts'
import { type HeadlineDecay, headlineDecay, WARMED_BY_K } from './headline-decay.ts'
import type { PhaseReadings } from './phase-readings.ts'
import { estimate } from './quantities.ts'
import type { AnalysedDecay } from './schema.ts'
import { oneMoreReading, PLANNED_HALF_LIFE_MIN } from './spot-half-life.ts'
import { halfLives, isScatterKnown, spotHalfLives } from './told-half-life.ts'

export interface DecayResult {
  readonly kind: 'decay'
  readonly phase: Phase
  readonly report: AnalysedDecay
  readonly readings: PhaseReadings
  /** Minutes after flow-off from which readings count. */
  readonly settledMinutes: number
  readonly headline?: HeadlineDecay
  readonly fit?: HeadlineDecay['fit']
  /** True potency over what the lagging probe shows: 1 − kτ. */
  readonly lagFactor: number
}

/** Probe time constants until its own transient is over. */
const SETTLE_FOLDS = 5
/** Left out when the probe's response is unknown, if the phase is long enough to spare it, minutes. */
const UNKNOWN_SETTLE = 1
const SPARES_FROM = 5
/** The same behind a probe that showed itself slow. */
const SLOW_SETTLE = 5
/** Faster than this after flow-off is stripping, not standing, 1/min. */
const STILL_FLOWING = 0.1

/** `lagSuspected`: the rise before showed a slow probe that nobody measured. */
export const analyseDecay = (context: BatchContext, phase: Phase, lagSuspected: boolean): DecayResult => {
  const { input } = context
  const lag = lagMinutes(input)
  const course = temperatureOver(input, phase)
  const range = course && temperatureRange(course, phase)
  const settled = once(() =>
    settledDecay(context, phase, settling(context, phase, lagSuspected), course, range),
  )
  const young = decayUnderLag(context, phase, range, settled)
  const { readings, headline, settledMinutes } = young ?? settled()
  const notes = [
    ...phase.notes,
    ...startNotes(phase, lag),
    ...(phase.startSeen ? [] : ['the record begins in mid-decay']),
  ]
  const common = {
    kind: 'decay' as const,
    start: isoAt(input, phase.startS),
    end: isoAt(input, phase.endS),
    found_by: phase.foundBy,
    notes,
  }
  const base = { kind: 'decay' as const, phase, readings, settledMinutes }
  if (headline.kind === 'refused')
    return {
      ...base,
      lagFactor: 1,
      report: {
        ...common,
        notes: [...notes, ...spotNotes(input, readings)],
        status: 'refused',
        why: refusal(readings, headline.why),
      },
    }
  const { fit } = headline
  const lagFactor = lag === undefined ? 1 : Math.max(0.5, 1 - headline.rate.value * lag.tau)
  const report = {
    ...common,
    notes: [...notes, ...fitNotes(range, headline, readings)],
    residual_sd_mg_l: fit.curve.residualSd,
    n: fit.curve.n,
    n_eff: fit.curve.effectiveReadings,
    start_mg_l: scaled(decayStartInterval(fit), lagFactor),
  }
  const told =
    input.readingUPercent === undefined
      ? halfLives(headline, plannedHalfLife(input), isScatterKnown(input, readings, headline))
      : spotHalfLives(headline, readings.times, input.readingUPercent, plannedHalfLife(input))
  const further = told.status === 'fitted' ? [] : spotNotes(input, readings)
  const full = { ...report, ...told, notes: [...report.notes, ...further] }
  return { ...base, lagFactor, headline, fit, report: full }
}

/** Made at the first call, given again at the next. */
const once = <T>(make: () => T): (() => T) => {
  let made: { readonly value: T } | undefined
  return () => {
    made ??= { value: make() }
    return made.value
  }
}

/** The decay from where the probe has settled. */
const settledDecay = (
  context: BatchContext,
  phase: Phase,
  settling: number,
  course: TemperatureCourse | undefined,
  range: readonly [number, number] | undefined,
) => {
  const settledMinutes = phase.startSeen ? settling : 0
  const readings = context.readingsOf(phase, settledMinutes)
  const breaks = usableBreaks(phase, readings)
  const data = { ...curveData(context.input, readings), breaks }
  return {
    readings,
    settledMinutes,
    isStepped: breaks.length > 0,
    headline: headlineDecay(data, phase.startS, course, range),
  }
}

/** Where nobody entered flow-off, how well the signal tells it. */
const startNotes = ({ startWithinS }: Phase, lag: ReturnType<typeof lagMinutes>): string[] =>
  startWithinS === undefined
    ? []
    : [
        `flow-off read from the signal: ± ${Math.ceil(startWithinS)} s${lag === undefined ? ', and later by the probe’s response, which was not measured' : ''}`,
      ]

const spotNotes = (input: BatchContext['input'], { times }: PhaseReadings): string[] => {
  const u = input.readingUPercent
  const words = u === undefined ? undefined : oneMoreReading(times, u, plannedHalfLife(input))
  return words === undefined ? [] : [words]
}

/** What the clinic's own batches did: known before these readings, as it must be. */
const plannedHalfLife = ({ history }: BatchContext['input']): number =>
  history?.halfLife20cMin === undefined ? PLANNED_HALF_LIFE_MIN : Math.exp(history.halfLife20cMin.meanLog)

const settling = ({ input }: BatchContext, phase: Phase, lagSuspected: boolean): number => {
  if (input.probeLag !== undefined) return (SETTLE_FOLDS * input.probeLag.tauS) / 60
  if (input.readingUPercent !== undefined) return 0
  const lasts = (phase.endS - phase.startS) / 60
  if (lagSuspected && lasts > 3 * SLOW_SETTLE) return SLOW_SETTLE
  return lasts < SPARES_FROM ? 0 : UNKNOWN_SETTLE
}

const refusal = (readings: PhaseReadings, why: CurveRefusal) =>
  readings.values.length === 0 && readings.clipped !== undefined ? ('clipped' as const) : why

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
    const first = lowerBound(readings.times, minutes)
    const before = first - lowerBound(readings.times, since)
    const after = readings.times.length - first
    if (before >= 8 && after >= 8 && minutes - since > 0.5) breaks.push(minutes)
  }
  return breaks
}

const fitNotes = (
  range: readonly [number, number] | undefined,
  { fit, rate, meanC }: HeadlineDecay,
  readings: PhaseReadings,
): string[] => [
  ...(fit.order === 1 && rate.value > STILL_FLOWING
    ? ['falls faster than fluid standing still: gas still flowing?']
    : []),
  ...(range !== undefined && meanC !== undefined && range[1] - range[0] > WARMED_BY_K
    ? [
        `fluid between ${range[0].toFixed(1)} and ${range[1].toFixed(1)} °C: half-life is that at ${meanC.toFixed(1)} °C; compare batches by the one at 20 °C`,
      ]
    : []),
  ...(range === undefined ? ['no fluid temperature: half-life cannot be brought to 20 °C'] : []),
  ...(readings.clipped === undefined ? [] : ['readings at the end of the meter’s range were set aside']),
  ...(fit.curve.fromHistory
    ? ['too few independent readings: noise taken from this instrument’s history']
    : []),
  ...(fit.order === 1 ? [] : [`follows order ${fit.order}: its half-life depends on the starting value`]),
  ...(fit.floor === 0
    ? []
    : [`readings settle on ${fit.floor.toFixed(2)} mg/L, not on zero: check the meter’s zero`]),
  ...(fit.starts.length > 1 ? ['each draw-up may step the reading: steps fitted, rate shared'] : []),
]
