import { at } from '../fit/linear-algebra.ts'
import { findPhases } from '../phase/find-phases.ts'
import { lowerBound } from '../phase/lower-bound.ts'
import type { Disagreement, Phase } from '../phase/phase.ts'
import { type AsideCodes, SETTLING, USABLE } from './aside.ts'
import { type BatchMemory, noMemory } from './batch-memory.ts'
import { withoutTemperatureGaps } from './batch-temperature.ts'
import type { CleanReadings } from './clean-readings.ts'
import type { DecayResult } from './decay-report.ts'
import type { AnalysisInput } from './input.ts'
import { afresh } from './phase-memory.ts'
import { analysePurge, type PurgeResult } from './purge-report.ts'
import type { RiseResult } from './rise-report.ts'
import { markOutlierRuns } from './set-aside.ts'
import { withStep } from './step-at-flow-off.ts'

export type PhaseResult = RiseResult | PurgeResult | DecayResult

/** All fits of one batch, before they are written down: what forecasts, verdicts and curves are read from. */
export interface BatchFits {
  readonly input: AnalysisInput
  readonly readings: CleanReadings
  readonly results: readonly PhaseResult[]
  readonly disagreements: readonly Disagreement[]
  readonly aside: AsideCodes
}

/** With a memory an update costs what is new in it; the fits are the same. */
export const fitBatch = (given: AnalysisInput, memory: BatchMemory = noMemory()): BatchFits => {
  const input = withoutTemperatureGaps(given)
  const { slots, finished } = memory
  slots.begin()
  const readings = memory.cleaner.take(input)
  const readingsOf = (phase: Phase, fromMinutes = 0) => slots.of(readings, phase, fromMinutes)
  const context = { input, readings, readingsOf }
  const signal = memory.signal.take(readings)
  memory.turns.keepOnly(signal.known)
  const { phases, disagreements } = findPhases(signal, input.events, {
    nowS: input.nowS,
    useSignal: input.readingUPercent === undefined,
    probeLagS: input.probeLag?.tauS ?? 0,
    ...(input.gas === undefined ? {} : { gas: input.gas }),
    memory: memory.turns,
  })
  let lagSuspected = false
  const fitted = phases.map((phase, i) => {
    const analyse = i + 1 < phases.length ? finished : afresh
    if (phase.kind === 'purge') return phase
    if (phase.kind === 'decay') return analyse.decay(context, phase, lagSuspected)
    const rise = analyse.rise(context, phase)
    lagSuspected ||= rise.lagSuspected
    return rise
  })
  const purged = fitted.map((result, i): PhaseResult => {
    if ('report' in result) return result
    return analysePurge(context, result, riseOf(fitted[i - 1]), decayOf(fitted[i + 1]))
  })
  const results = purged.map((result, i) =>
    result.kind === 'decay' && !lagSuspected ? withStep(result, purged[i - 1]) : result,
  )
  return { input, readings, results, disagreements, aside: asideWithOutliers(readings, results) }
}

const riseOf = (result: RiseResult | DecayResult | Phase | undefined): RiseResult | undefined =>
  result !== undefined && 'report' in result && result.kind === 'rise' ? result : undefined

const decayOf = (result: RiseResult | DecayResult | Phase | undefined): DecayResult | undefined =>
  result !== undefined && 'report' in result && result.kind === 'decay' ? result : undefined

const asideWithOutliers = (readings: CleanReadings, results: readonly PhaseResult[]) => {
  const aside = readings.aside.slice()
  for (const result of results) {
    if (result.kind === 'purge') continue
    if (result.fit !== undefined) markOutlierRuns(result.readings.indices, result.fit.curve.outliers, aside)
    if (result.kind === 'decay') markSettling(readings, result, aside)
  }
  return aside
}

/** The first readings after flow-off, while the probe's own transient lasts. */
const markSettling = (readings: CleanReadings, result: DecayResult, aside: AsideCodes): void => {
  if (!result.phase.startSeen || result.settledMinutes === 0) return
  const until = Math.min(result.phase.endS, result.phase.startS + 60 * result.settledMinutes)
  for (let i = lowerBound(readings.timesS, result.phase.startS); i < aside.length; i++) {
    if (at(readings.timesS, i) >= until) break
    if (aside[i] === USABLE) aside[i] = SETTLING
  }
}
