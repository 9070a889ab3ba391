import { isoOf, timeUs } from '../../ingest/units.ts'
import type { CurveData } from '../fit/curve-fit.ts'
import type { Phase } from '../phase/phase.ts'
import type { CleanReadings } from './clean-readings.ts'
import type { AnalysisInput } from './input.ts'
import type { PhaseReadings } from './phase-readings.ts'

/** What every phase report of one batch shares. */
export interface BatchContext {
  readonly input: AnalysisInput
  readonly readings: CleanReadings
  /** Usable readings of a phase from some minutes after its start on. */
  readonly readingsOf: (phase: Phase, fromMinutes?: number) => PhaseReadings
}

/** Seconds since the start as ISO-8601 UTC, to the millisecond. */
export const isoAt = (input: AnalysisInput, seconds: number): string =>
  isoOf(timeUs(input.startUs + Math.round(seconds * 1e6)))

/** Probe time constant in minutes, when it is on file. */
export const lagMinutes = (input: AnalysisInput): { tau: number; u: number } | undefined =>
  input.probeLag === undefined ? undefined : { tau: input.probeLag.tauS / 60, u: input.probeLag.uS / 60 }

/** Readings of a phase as a fit wants them: spot uncertainties or noise history included where there are any. */
export const curveData = (input: AnalysisInput, readings: PhaseReadings): CurveData => ({
  times: readings.times,
  values: readings.values,
  binned: readings.binned,
  ...(input.readingUPercent === undefined ? {} : { knownSd: spotSd(readings.values, input.readingUPercent) }),
  ...(input.noiseHistory === undefined
    ? {}
    : {
        noiseHistory: {
          sd: input.noiseHistory.sdMgPerL,
          correlationTime: input.noiseHistory.correlationTimeS / 60,
          whitePart: input.noiseHistory.whiteFraction,
        },
      }),
})

/** Standard uncertainty of spot readings; near zero it cannot shrink below that of 1 mg/L. */
const spotSd = (values: Float64Array, percent: number): Float64Array =>
  values.map((v) => (percent / 100) * Math.max(Math.abs(v), 1))
