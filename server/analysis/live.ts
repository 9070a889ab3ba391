import { calibrationU, decide } from '../verdict/decision.ts'
import { describeBatch, type LastForecast, lastForecast } from './analyse-batch.ts'
import { CLIPPED } from './aside.ts'
import { batchMemory } from './batch-memory.ts'
import { fittedCurves } from './curves.ts'
import { type BatchFits, fitBatch, type PhaseResult } from './fit-batch.ts'
import { forecastFrom } from './forecast-report.ts'
import type { AnalysisInput } from './input.ts'
import type { LiveEstimate, LiveEstimator, LivePotency, TimeLeft } from './live-estimate.ts'
import { noiseSeen } from './noise-seen.ts'
import { fromFit, type PotencyNow, potencyNow } from './potency-now.ts'
import type { Reason } from './quantity-schema.ts'
import { lastUsable } from './recent-readings.ts'
import type { Decision } from './schema.ts'

/** A reading older than five intervals, and than five seconds, is not live. */
const FRESH_INTERVALS = 5
const FRESH_S = 5
/** A fit is not run further past its last reading than this. */
const LONGEST_ESTIMATE_S = 3600
/** A reading this recent stands for now, s. */
const MOMENT_S = 1.5
const NORMAL_TWO_SIDED = 1.959964

/** Everything the live screen shows of one bench, from the readings and entries up to `nowS`. Pure. */
export const liveEstimate = (input: AnalysisInput, curvePoints = 0, readings = 0): LiveEstimate =>
  estimateFrom(fitBatch(input), curvePoints, readings)

/**
 * The same numbers for one bench, update after update: an update costs what is new in it, and one comparison in memory of
 * all that is not. Make one per bench; a new batch needs no new one.
 */
export const createLiveEstimator = (): LiveEstimator => {
  const memory = batchMemory()
  return (input, curvePoints = 0, readings = 0) =>
    estimateFrom(fitBatch(input, memory), curvePoints, readings)
}

const estimateFrom = (fits: BatchFits, curvePoints: number, readings: number): LiveEstimate => {
  const { input } = fits
  const isDiscarded = input.events.some((e) => e.kind === 'discarded' && e.atS <= input.nowS)
  const current = fits.results.at(-1)
  const result = current?.phase.open === true ? current : undefined
  const now = isDiscarded ? undefined : potencyNow(fits, result, input.nowS)
  const potency = livePotency(fits, result, now, isDiscarded)
  const shown = potency.kind === 'none' ? undefined : now
  const noise = noiseSeen(fits)
  const last = lastForecast(fits)
  return {
    phase: isDiscarded ? 'discarded' : (result?.kind ?? 'idle'),
    ...(result === undefined ? {} : { phaseStartedS: result.phase.startS }),
    potency,
    timeLeft: timeLeft(fits, result, shown, isDiscarded, last),
    ...(shown === undefined || result === undefined ? {} : { trendMgPerLPerMin: shown.slope }),
    ...plateauPart(result, shown),
    ...(input.targetMgPerL === undefined || shown === undefined
      ? {}
      : { decision: decisionOf(input, shown, input.targetMgPerL) }),
    ...(noise === undefined ? {} : { noise }),
    analysis: describeBatch(fits, last),
    curves: curvePoints > 0 ? fittedCurves(fits, curvePoints, readings) : [],
  }
}

const livePotency = (
  fits: BatchFits,
  result: PhaseResult | undefined,
  now: PotencyNow | undefined,
  isDiscarded: boolean,
): LivePotency => {
  const { input, readings } = fits
  if (isDiscarded) return { kind: 'none', why: 'nothing-left' }
  // the newest reading at the end of the range: the flask holds more than the meter can say
  if (fits.aside.at(-1) === CLIPPED) return { kind: 'none', why: 'clipped' }
  const readingAtS = readings.timesS[lastUsable(fits, input.nowS)]
  if (now === undefined || readingAtS === undefined) return { kind: 'none', why: noReading(fits) }
  const ageS = input.nowS - readingAtS
  const isFresh = ageS <= freshS(fits)
  const canEstimate = result !== undefined && fromFit(result, input.nowS) !== undefined
  if (!isFresh && (ageS > LONGEST_ESTIMATE_S || !canEstimate)) return { kind: 'none', why: 'reading-too-old' }
  const half = Math.hypot(
    now.tTwoSided * now.se,
    NORMAL_TWO_SIDED * calibrationU(now.value, input.calibration),
  )
  return {
    kind: isFresh ? 'measured' : 'estimated',
    mgPerL: now.value,
    // less than nothing cannot be in the flask, whatever the meter's zero says
    ci95: [Math.max(0, now.value - half - lagAllowance(input, now)), Math.max(0, now.value + half)],
    calibrated: input.calibration !== undefined,
    readingAtS,
    ageS,
  }
}

/** While falling, a probe of unknown response reads high: half a minute of fall is allowed for it, downward only. */
const lagAllowance = (input: AnalysisInput, now: PotencyNow): number =>
  input.probeLag === undefined && input.readingUPercent === undefined && now.slope < 0 ? -0.5 * now.slope : 0

const noReading = (fits: BatchFits): Reason => (fits.aside.includes(CLIPPED) ? 'clipped' : 'too-few-readings')

const freshS = (fits: BatchFits): number => {
  if (fits.input.readingUPercent !== undefined) return FRESH_S
  const { timesS } = fits.readings
  const n = timesS.length
  if (n < 3) return FRESH_S
  const span = (timesS[n - 1] ?? 0) - (timesS[Math.max(0, n - 61)] ?? 0)
  return Math.max(FRESH_S, Math.min(60, (FRESH_INTERVALS * span) / Math.min(60, n - 1)))
}

const timeLeft = (
  fits: BatchFits,
  result: PhaseResult | undefined,
  now: PotencyNow | undefined,
  isDiscarded: boolean,
  last: LastForecast | undefined,
): TimeLeft => {
  const target = fits.input.targetMgPerL
  if (target === undefined) return { kind: 'no-target' }
  if (isDiscarded) return { kind: 'refused', why: 'nothing-left' }
  const { nowS } = fits.input
  const sinceS = nowS - (last?.atS ?? nowS)
  // a forecast made a moment ago needs no second one: its crossing is that much nearer
  const isShared = last !== undefined && now !== undefined && result !== undefined && sinceS <= MOMENT_S
  const forecast = isShared ? last.forecast : forecastFrom(fits, result, now, nowS, target)
  if (forecast.kind === 'refused') return forecast
  const left = (minutes: number) => Math.max(0, 60 * minutes - (isShared ? sinceS : 0))
  return {
    kind: 'until',
    expectedS: left(forecast.expected),
    earlyS: left(forecast.early),
    ci95S: [left(forecast.ci95[0]), left(forecast.ci95[1])],
    basis: forecast.basis,
    ifOffNow: forecast.ifOffNow,
  }
}

const plateauPart = (result: PhaseResult | undefined, now: PotencyNow | undefined) =>
  result?.kind === 'rise' &&
  result.report.fraction_of_plateau !== undefined &&
  result.fit !== undefined &&
  now !== undefined
    ? { fractionOfPlateau: now.value / result.fit.plateau }
    : {}

const decisionOf = (input: AnalysisInput, now: PotencyNow, target: number): Decision => {
  const { word, lower, upper } = decide(now, target, input.calibration)
  return { target_mg_l: target, word, lower_mg_l: lower, upper_mg_l: upper }
}
