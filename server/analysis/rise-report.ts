import { blockMedians } from '../fit/block-medians.ts'
import { at } from '../fit/linear-algebra.ts'
import {
  fitSaturation,
  plateauInterval,
  potencyAt,
  rateInterval,
  type SaturationFit,
  startInterval,
  t95FromZeroInterval,
  t95Interval,
} from '../fit/saturation-fit.ts'
import type { Phase } from '../phase/phase.ts'
import { type BatchContext, curveData, isoAt, lagMinutes } from './batch-context.ts'
import { interruptionIn } from './interruption.ts'
import type { PhaseReadings } from './phase-readings.ts'
import { atLeast, atMost, estimate, relativeHalfWidth, USELESS } from './quantities.ts'
import type { Reason } from './quantity-schema.ts'
import type { AnalysedRise } from './schema.ts'
import { lagCouldMatter } from './unknown-lag.ts'

export interface RiseResult {
  readonly kind: 'rise'
  readonly phase: Phase
  readonly report: AnalysedRise
  readonly readings: PhaseReadings
  /** True when the reading starts late and bent and nobody measured the probe's response. */
  readonly lagSuspected: boolean
  /** Present when the curve itself can be drawn and read off, also when some of its numbers are only bounds. */
  readonly fit?: SaturationFit
}

/** A plateau is reported as a number from this fraction of it on, and after 2.3 time constants. */
const REACHED_FRACTION = 0.9
const REACHED_FOLDS = 2.3

export const analyseRise = (context: BatchContext, phase: Phase): RiseResult => {
  const { input } = context
  const readings = context.readingsOf(phase)
  const common = {
    kind: 'rise' as const,
    start: isoAt(input, phase.startS),
    end: isoAt(input, phase.endS),
    found_by: phase.foundBy,
    notes: [...phase.notes, ...(phase.startSeen ? [] : ['the record begins in mid-rise'])],
  }
  const known = lagMinutes(input)
  const lag = phase.startSeen ? known : undefined
  const whole = fitSaturation({ ...curveData(input, readings), ...(lag === undefined ? {} : { lag }) })
  const lagUnknown =
    input.probeLag === undefined &&
    phase.startSeen &&
    whole.kind === 'fitted' &&
    lagCouldMatter(readings, whole)
  const late = lagUnknown ? pastTransient(context, phase, readings, whole) : undefined
  const fit = late ?? whole
  const base = { kind: 'rise' as const, phase, readings, lagSuspected: lagUnknown }
  if (fit.kind === 'refused') return { ...base, report: unfitted(common, readings, fit.why) }
  if (fit.plateau < fit.start || fit.plateau <= 0)
    return { ...base, report: { ...common, status: 'refused', why: 'no-change' } }
  const measured = {
    residual_sd_mg_l: fit.curve.residualSd,
    n: fit.curve.n,
    n_eff: fit.curve.effectiveReadings,
    ...(lagUnknown ? {} : { start_mg_l: estimate(startInterval(fit)) }),
  }
  const notes = [
    ...common.notes,
    ...interruptionNotes(phase, readings, fit, lagUnknown),
    ...fitNotes(context, fit, lagUnknown),
  ]
  const report = { ...common, ...measured, notes }
  if (readings.clipped !== undefined) {
    const { level, fromMinutes } = readings.clipped
    const bounds = { plateau_mg_l: atLeast(level, 'clipped'), t95_min: atLeast(fromMinutes, 'clipped') }
    return { ...base, report: { ...report, status: 'bounded', ...bounds } }
  }
  const seen = at(readings.times, readings.times.length - 1)
  const end = potencyAt(fit, seen)
  const fraction = end.value / fit.plateau
  const isReached =
    fraction >= REACHED_FRACTION &&
    fit.rate * seen >= REACHED_FOLDS &&
    relativeHalfWidth(plateauInterval(fit)) < USELESS
  if (!isReached) return { ...base, fit, report: { ...report, ...unreached(fit, seen, end) } }
  const judged = { ...report, fraction_of_plateau: fraction, plateau_mg_l: estimate(plateauInterval(fit)) }
  return { ...base, fit, report: { ...judged, ...timing(phase, fit, lagUnknown) } }
}

type Common = Pick<AnalysedRise, 'kind' | 'start' | 'end' | 'found_by' | 'notes'>

/** No curve: still, a rise that has only just begun shows that its plateau lies above what was reached. */
const unfitted = (common: Common, readings: PhaseReadings, why: Reason): AnalysedRise => {
  if (readings.clipped !== undefined)
    return { ...common, status: 'bounded', plateau_mg_l: atLeast(readings.clipped.level, 'clipped') }
  if (why !== 'no-convergence') return { ...common, status: 'refused', why }
  const last = readings.values.slice(-15).sort()
  const first = readings.values.slice(0, 15).sort()
  const reached = at(last, last.length >> 1)
  return reached > at(first, first.length >> 1)
    ? { ...common, status: 'bounded', plateau_mg_l: atLeast(reached, 'plateau-not-reached') }
    : { ...common, status: 'refused', why: 'no-change' }
}

/** Plateau and rate are almost one number until the curve bends: the plateau is above what was reached, no more. */
const unreached = (
  fit: SaturationFit,
  seen: number,
  end: { value: number; se: number },
): Pick<AnalysedRise, 'status' | 'plateau_mg_l' | 'rate_per_min' | 't95_min' | 'fraction_of_plateau'> => {
  const rate = rateInterval(fit)
  const bound = end.value - fit.tOneSided * end.se
  return {
    status: 'bounded',
    plateau_mg_l: atLeast(bound, 'plateau-not-reached'),
    t95_min: atLeast(seen, 'plateau-not-reached'),
    ...(relativeHalfWidth(rate) < USELESS
      ? { rate_per_min: estimate(rate) }
      : { rate_per_min: atMost(rate.ci95[1], 'plateau-not-reached') }),
  }
}

/** Readings above half the plateau: by then a probe's own transient is mostly over, and the rate is at least this. */
const pastTransient = (
  context: BatchContext,
  phase: Phase,
  readings: PhaseReadings,
  whole: SaturationFit,
): SaturationFit | undefined => {
  const half = blockMedians(readings.times, readings.values, 150)
  const first = half.values.findIndex((v) => v > whole.plateau / 2)
  if (first < 0) return undefined
  const later = context.readingsOf(phase, at(half.times, first))
  const fit = fitSaturation(curveData(context.input, later))
  return fit.kind === 'fitted' && fit.plateau > fit.start ? fit : undefined
}

const timing = (
  phase: Phase,
  fit: SaturationFit,
  lagUnknown: boolean,
): Pick<AnalysedRise, 'status' | 'rate_per_min' | 't95_min' | 't95_from_zero_min'> => {
  const rate = rateInterval(fit)
  const zero = t95FromZeroInterval(fit)
  const t95 = t95Interval(fit)
  if (lagUnknown)
    return {
      status: 'bounded',
      rate_per_min: atLeast(rate.ci95[0], 'probe-lag-unknown'),
      t95_min: atMost(t95.ci95[1], 'probe-lag-unknown'),
      t95_from_zero_min: atMost(zero.ci95[1], 'probe-lag-unknown'),
    }
  if (relativeHalfWidth(rate) > USELESS)
    return { status: 'bounded', rate_per_min: atMost(rate.ci95[1], 'interval-too-wide') }
  return {
    status: 'fitted',
    rate_per_min: estimate(rate),
    t95_from_zero_min: estimate(zero),
    ...(phase.startSeen ? { t95_min: estimate(t95) } : {}),
  }
}

/** Behind a probe that seems slow the curve holds from half the rise on. */
const interruptionNotes = (
  phase: Phase,
  readings: PhaseReadings,
  fit: SaturationFit,
  lagUnknown: boolean,
): string[] => {
  if (phase.notes.some((n) => n.startsWith('gas interrupted'))) return []
  const found = interruptionIn(readings, fit, lagUnknown ? Math.LN2 / fit.rate : 0)
  return found === undefined
    ? []
    : [
        `gas interrupted for about ${Math.round((60 * found.lastsMin) / 5) * 5} s, by the signal: ${found.lost.toFixed(1)} mg/L short, and the rate includes it`,
      ]
}

const fitNotes = ({ input }: BatchContext, fit: SaturationFit, lagUnknown: boolean): string[] => [
  ...(fit.curve.fromHistory
    ? ['too few independent readings: noise taken from this instrument’s history']
    : []),
  ...(fit.curve.effectiveReadings < 10 && !fit.curve.fromHistory
    ? ['fewer than ten independent readings: the interval is wide for it']
    : []),
  ...(input.probeLag === undefined ? ['probe response not measured'] : []),
  ...(lagUnknown ? ['the reading starts late and bent, as behind a slow probe: measure its response'] : []),
]
