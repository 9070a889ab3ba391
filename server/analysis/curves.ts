import { type TimeUs, timeUs } from '../../ingest/units.ts'
import { type BatchFits, fitBatch, type PhaseResult } from './fit-batch.ts'
import { fitResiduals, NOTHING_SEEN, type SeenReadings } from './fit-residuals.ts'
import type { AnalysisInput } from './input.ts'
import { fromFit } from './potency-now.ts'

/** A fitted phase as points to draw; the band is the 95 % interval of the mean, not of single readings. */
export interface FittedCurve {
  readonly kind: 'rise' | 'purge' | 'decay'
  readonly timesUs: readonly TimeUs[]
  readonly mean: readonly number[]
  readonly low: readonly number[]
  readonly high: readonly number[]
  /** Readings the fit rests on with what it leaves of them; empty unless asked for. */
  readonly seen: SeenReadings
}

/** The curve of every fitted phase at evenly spaced times over it. */
export const fittedCurves = ({ input, results }: BatchFits, points: number, readings = 0): FittedCurve[] =>
  results
    .filter((r) => r.fit !== undefined)
    .map((r) => ({
      ...curveOf(input, r, evenly(r.phase.startS, r.phase.endS, points)),
      seen: readings > 0 ? fitResiduals(r, readings, (input.probeLag?.tauS ?? 0) / 60) : NOTHING_SEEN,
    }))

/** Fit and band of one batch at chosen times: a time in no fitted phase is left out. */
export const fittedCurvesAt = (input: AnalysisInput, timesUs: readonly TimeUs[]): FittedCurve[] => {
  const seconds = timesUs.map((t) => (t - input.startUs) / 1e6)
  return fitBatch(input)
    .results.filter((r) => r.fit !== undefined)
    .map((r) =>
      curveOf(
        input,
        r,
        seconds.filter((s) => s >= r.phase.startS && s < r.phase.endS),
      ),
    )
}

const evenly = (from: number, to: number, points: number): number[] =>
  Array.from({ length: points }, (_, i) => from + ((to - from) * i) / Math.max(1, points - 1))

const curveOf = (input: AnalysisInput, result: PhaseResult, seconds: readonly number[]): FittedCurve => {
  const at = seconds.map((s) => fromFit(result, s))
  const value = (i: number) => at[i]?.value ?? Number.NaN
  const half = (i: number) => (at[i]?.tTwoSided ?? Number.NaN) * (at[i]?.se ?? Number.NaN)
  return {
    kind: result.kind,
    timesUs: seconds.map((s) => timeUs(input.startUs + Math.round(s * 1e6))),
    mean: seconds.map((_, i) => value(i)),
    low: seconds.map((_, i) => value(i) - half(i)),
    high: seconds.map((_, i) => value(i) + half(i)),
    seen: NOTHING_SEEN,
  }
}
