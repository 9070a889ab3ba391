import { calibrationU } from '../verdict/decision.ts'
import { describeBatch } from './analyse-batch.ts'
import { fittedCurves } from './curves.ts'
import { type BatchFits, fitBatch, type PhaseResult } from './fit-batch.ts'
import type { AnalysisInput } from './input.ts'
import type { LiveEstimate, LivePhase, LivePotency, TimeLeft } from './live-estimate.ts'
import { lastUsable, type PotencyNow, potencyNow } from './potency-now.ts'
import { pointValueOf } from './quantity-schema.ts'
import type { Analysis } from './schema.ts'

/** A reading counts as present for this long; after it the fit is run forward, and that is an estimate. */
const FRESH_S = 5
const NORMAL_TWO_SIDED = 1.959964

/** Everything the live screen shows of one batch at `nowS`. Pure. */
export const liveEstimate = (input: AnalysisInput, curvePoints = 0): LiveEstimate => {
  const fits = fitBatch(input)
  const analysis = describeBatch(fits)
  const result = fits.results.at(-1)
  const potency = potencyNow(fits, result, input.nowS)
  const reached = potency && fractionReached(result, potency)
  return {
    phase: phaseOf(input, result),
    ...(result === undefined ? {} : { phaseStartedS: result.phase.startS }),
    potency: describePotency(fits, potency),
    timeLeft: timeLeft(input, analysis),
    ...(potency === undefined ? {} : { trendMgPerLPerMin: potency.slope }),
    ...(reached === undefined ? {} : { fractionOfPlateau: reached }),
    ...(analysis.decision === undefined ? {} : { decision: analysis.decision }),
    analysis,
    curves: curvePoints > 0 ? fittedCurves(fits, curvePoints) : [],
  }
}

const phaseOf = (input: AnalysisInput, result: PhaseResult | undefined): LivePhase => {
  if (input.events.some((e) => e.kind === 'discarded' && e.atS <= input.nowS)) return 'discarded'
  return result?.phase.open ? result.kind : 'idle'
}

const describePotency = (fits: BatchFits, potency: PotencyNow | undefined): LivePotency => {
  const { input, readings } = fits
  const last = lastUsable(fits, input.nowS)
  const readingAtS = readings.timesS[last]
  if (potency === undefined || readingAtS === undefined) return { kind: 'none', why: 'too-few-readings' }
  // fit (type A) and calibration (type B) add in squares: JCGM 100:2008, 5.1
  const half = Math.hypot(
    potency.tTwoSided * potency.se,
    NORMAL_TWO_SIDED * calibrationU(potency.value, input.calibration),
  )
  const ageS = input.nowS - readingAtS
  return {
    kind: ageS <= FRESH_S ? 'measured' : 'estimated',
    mgPerL: potency.value,
    ci95: [potency.value - half, potency.value + half],
    calibrated: input.calibration !== undefined,
    readingAtS,
    ageS,
  }
}

const fractionReached = (result: PhaseResult | undefined, potency: PotencyNow): number | undefined => {
  const plateau = result?.kind === 'rise' ? pointValueOf(result.report.plateau_mg_l) : undefined
  return plateau === undefined || plateau <= 0 ? undefined : potency.value / plateau
}

const timeLeft = (input: AnalysisInput, { forecast }: Analysis): TimeLeft => {
  if (forecast === undefined) return { kind: 'no-target' }
  if ('refused' in forecast) return { kind: 'refused', why: forecast.refused }
  const fromNow = (iso: string) => (Date.parse(iso) * 1000 - input.startUs) / 1e6 - input.nowS
  return {
    kind: 'until',
    expectedS: fromNow(forecast.reaches_target_at),
    earlyS: fromNow(forecast.early_bound_at),
    ci95S: [fromNow(forecast.ci95[0]), fromNow(forecast.ci95[1])],
    basis: forecast.basis,
    ifOffNow: forecast.if_off_now === true,
  }
}
