import { decayedAt, fitDecay } from '../fit/decay-fit.ts'
import { logInterval } from '../fit/interval.ts'
import { at } from '../fit/linear-algebra.ts'
import { potencyAt } from '../fit/saturation-fit.ts'
import type { Phase } from '../phase/phase.ts'
import { type BatchContext, curveData, isoAt, lagMinutes } from './batch-context.ts'
import type { DecayResult } from './decay-report.ts'
import { type PhaseReadings, phaseReadings } from './phase-readings.ts'
import { estimate, relativeHalfWidth, USELESS } from './quantities.ts'
import type { RiseResult } from './rise-report.ts'
import type { AnalysedPurge } from './schema.ts'

export interface PurgeResult {
  readonly kind: 'purge'
  readonly phase: Phase
  readonly report: AnalysedPurge
  readonly readings: PhaseReadings
  /** Rate, 1/min, and starting value of the purge, when it could be told. */
  readonly fit?: {
    readonly rate: number
    readonly start: number
    readonly logRateSe: number
    readonly t: number
  }
}

interface Level {
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
  const readings = phaseReadings(context.readings, phase)
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
  if (from !== undefined && to !== undefined && to.value < from.value)
    return between(common, phase, readings, from, to, minutes)
  return fromReadings(context, common, phase, readings, minutes)
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

const fromReadings = (
  { input }: BatchContext,
  common: Common,
  phase: Phase,
  readings: PhaseReadings,
  minutes: number,
): PurgeResult => {
  const refused = (why: NonNullable<AnalysedPurge['why']>): PurgeResult => ({
    kind: 'purge',
    phase,
    readings,
    report: { ...common, status: 'refused', why },
  })
  const fit = fitDecay({ ...curveData(input, readings), order: 1 })
  if (fit.kind === 'refused') return refused(fit.why)
  const lag = lagMinutes(input)
  if (lag !== undefined && minutes < 5 * lag.tau) return refused('too-short')
  const logRateSe = Math.sqrt(at(fit.covariance, 3))
  const rate = logInterval(fit.rate, logRateSe, fit.t)
  if (relativeHalfWidth(rate) > 2 * USELESS) return refused('interval-too-wide')
  const lost = (k: number) => -Math.expm1(-k * minutes)
  return {
    kind: 'purge',
    phase,
    readings,
    fit: { rate: fit.rate, start: decayedAt(fit, 0).value, logRateSe, t: fit.t },
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
