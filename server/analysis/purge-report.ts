import { decayedAt, fitDecay } from '../fit/decay-fit.ts'
import { logInterval } from '../fit/interval.ts'
import { at } from '../fit/linear-algebra.ts'
import { potencyAt } from '../fit/saturation-fit.ts'
import type { Phase } from '../phase/phase.ts'
import { type BatchContext, curveData, isoAt, lagMinutes } from './batch-context.ts'
import type { DecayResult } from './decay-report.ts'
import type { PhaseReadings } from './phase-readings.ts'
import { atLeast, estimate, relativeHalfWidth, USELESS } from './quantities.ts'
import type { RiseResult } from './rise-report.ts'
import type { AnalysedPurge } from './schema.ts'

export interface PurgeResult {
  readonly kind: 'purge'
  readonly phase: Phase
  readonly report: AnalysedPurge
  readonly readings: PhaseReadings
  /** Rate, 1/min, and starting value of the purge, when it could be told. */
  readonly fit?: PurgeCurve
  /** Level at flow-off by the purge's own readings, when the probe is quick enough to show it. */
  readonly ownEnd?: Level
}

export interface PurgeCurve {
  readonly rate: number
  readonly start: number
  readonly logRateSe: number
  readonly t: number
}

export interface Level {
  readonly value: number
  readonly se: number
  readonly t: number
}

/**
 * What a purge through the fluid took away. From the fitted level before it and the fitted level after it where both
 * are known, which no probe lag can blur; else from its own readings.
 */
export const analysePurge = (
  context: BatchContext,
  phase: Phase,
  before: RiseResult | undefined,
  after: DecayResult | undefined,
): PurgeResult => {
  const { input } = context
  const readings = context.readingsOf(phase)
  const common = {
    kind: 'purge' as const,
    start: isoAt(input, phase.startS),
    end: isoAt(input, phase.endS),
    found_by: phase.foundBy,
    notes: [...phase.notes],
  }
  const minutes = (phase.endS - phase.startS) / 60
  const from = levelBefore(before)
  const to = levelAfter(after)
  const own = fromReadings(context, common, phase, readings, minutes)
  if (from === undefined || to === undefined || to.value >= from.value || steps(own.ownEnd, to)) return own
  const outer = between(common, phase, readings, from, to, minutes)
  const result = own.ownEnd === undefined ? outer : { ...outer, ownEnd: own.ownEnd }
  return before?.lagSuspected === true ? behindSlowProbe(result) : result
}

/** The reading steps at flow-off, so that what follows says nothing about the end of the purge. */
const steps = (own: Level | undefined, after: Level): boolean => {
  if (own === undefined) return false
  const difference = Math.abs(own.value - after.value)
  return difference > 0.05 * own.value && difference > own.t * own.se + after.t * after.se
}

/** A slow probe still shows part of what the purge took: the loss is at least what it shows. */
const behindSlowProbe = (result: PurgeResult): PurgeResult => {
  const {
    rate_per_min: rate,
    lost_fraction: lost,
    start_mg_l: _start,
    end_mg_l: _end,
    ...rest
  } = result.report
  return {
    ...result,
    report: {
      ...rest,
      status: 'bounded',
      ...(rate !== undefined && 'value' in rate
        ? { rate_per_min: atLeast(rate.ci95[0], 'probe-lag-unknown') }
        : {}),
      ...(lost !== undefined && 'value' in lost
        ? { lost_fraction: atLeast(lost.ci95[0], 'probe-lag-unknown') }
        : {}),
    },
  }
}

type Common = Pick<AnalysedPurge, 'kind' | 'start' | 'end' | 'found_by' | 'notes'>

const levelBefore = (rise: RiseResult | undefined): Level | undefined => {
  if (rise?.fit === undefined) return undefined
  const { value, se } = potencyAt(rise.fit, (rise.phase.endS - rise.phase.startS) / 60)
  return { value, se, t: rise.fit.t }
}

const levelAfter = (decay: DecayResult | undefined): Level | undefined => {
  if (decay?.fit === undefined || decay.report.status !== 'fitted' || !decay.phase.startSeen) return undefined
  const value = at(decay.fit.starts, 0) * decay.lagFactor
  return { value, se: Math.sqrt(at(decay.fit.covariance, 0)) * decay.lagFactor, t: decay.fit.t }
}

const between = (
  common: Common,
  phase: Phase,
  readings: PhaseReadings,
  from: Level,
  to: Level,
  minutes: number,
): PurgeResult => {
  const folds = Math.log(from.value / to.value)
  const foldsSe = Math.hypot(from.se / from.value, to.se / to.value)
  const t = Math.max(from.t, to.t)
  const left = to.value / from.value
  const rate = logInterval(folds / minutes, foldsSe / folds, t)
  return {
    kind: 'purge',
    phase,
    readings,
    fit: { rate: folds / minutes, start: from.value, logRateSe: foldsSe / folds, t },
    report: {
      ...common,
      status: 'fitted',
      rate_per_min: estimate(rate),
      lost_fraction: estimate({
        value: 1 - left,
        se: left * foldsSe,
        ci95: [1 - left * Math.exp(t * foldsSe), 1 - left * Math.exp(-t * foldsSe)],
      }),
      start_mg_l: estimate({ ...from, ci95: [from.value - from.t * from.se, from.value + from.t * from.se] }),
      end_mg_l: estimate({ ...to, ci95: [to.value - to.t * to.se, to.value + to.t * to.se] }),
      n: readings.values.length,
    },
  }
}

/** A probe follows a purge of at least this many of its time constants, once its own transient of a few is over. */
const FOLLOWS = 5
const TRANSIENT = 2.5

const fromReadings = (
  context: BatchContext,
  common: Common,
  phase: Phase,
  readings: PhaseReadings,
  minutes: number,
): PurgeResult => {
  const { input } = context
  const refused = (why: NonNullable<AnalysedPurge['why']>): PurgeResult => ({
    kind: 'purge',
    phase,
    readings,
    report: { ...common, status: 'refused', why },
  })
  const lag = lagMinutes(input)
  if (lag !== undefined && minutes < FOLLOWS * lag.tau) return refused('too-short')
  const seen = context.readingsOf(phase, lag === undefined ? 0 : TRANSIENT * lag.tau)
  const fit = fitDecay({ ...curveData(input, seen), order: 1 })
  if (fit.kind === 'refused') return refused(fit.why)
  const logRateSe = Math.sqrt(at(fit.covariance, 3))
  const rate = logInterval(fit.rate, logRateSe, fit.t)
  if (relativeHalfWidth(rate) > 2 * USELESS) return refused('interval-too-wide')
  const lost = (k: number) => -Math.expm1(-k * minutes)
  const lagFactor = lag === undefined ? 1 : 1 - fit.rate * lag.tau
  const end = decayedAt(fit, minutes)
  return {
    kind: 'purge',
    phase,
    readings,
    fit: { rate: fit.rate, start: decayedAt(fit, 0).value * lagFactor, logRateSe, t: fit.t },
    ...(lag === undefined
      ? {}
      : { ownEnd: { value: end.value * lagFactor, se: end.se * lagFactor, t: fit.t } }),
    report: {
      ...common,
      status: 'fitted',
      rate_per_min: estimate(rate),
      lost_fraction: estimate({
        value: lost(fit.rate),
        se: minutes * Math.exp(-fit.rate * minutes) * rate.se,
        ci95: [lost(rate.ci95[0]), lost(rate.ci95[1])],
      }),
      residual_sd_mg_l: fit.curve.residualSd,
      n: fit.curve.n,
      n_eff: fit.curve.effectiveReadings,
      notes: [...common.notes, ...(lag === undefined ? ['probe response not measured'] : [])],
    },
  }
}
