import type { AnalysedDecay, AnalysedPurge, AnalysedRise, Analysis, Quantity } from '../analysis/schema.ts'
import { type GasReference, NORMAL_KPA, toNormal } from '../model/gas-concentration.ts'
import type { MeasuredConditions } from '../model/measured-conditions.ts'
import type { BatchSummary } from '../wire.ts'
import { estimateIn, type Relative, relativeOf } from './quantity.ts'

/** What a trial needs of a batch, as the reports have it. */
export interface BatchSource {
  readonly summary: BatchSummary
  readonly analysis: Analysis
  readonly conditions: MeasuredConditions
  /** Fluids its calibrations were made in; "not stated" among them. */
  readonly calibratedIn: readonly string[]
  readonly calibrations: readonly CalibrationState[]
  /** Day by the site's clock, "2026-03-14". */
  readonly day: string
}

/** A calibration that a batch rests on. */
export interface CalibrationState {
  readonly instrument: string
  readonly at: string
  readonly method: string
  readonly slope: number
  readonly zero: number
  readonly u_slope_percent: number
}

/** One batch in the numbers of a trial: its first filling and the decay after it. */
export interface BatchFacts extends Pick<BatchSource, 'summary' | 'calibratedIn' | 'calibrations' | 'day'> {
  readonly finished: boolean
  /** While it bubbled; of the whole batch where that is not known. */
  readonly temperatureC: number | undefined
  /** Measured where an instrument is wired, else as recorded, µg per normal mL. */
  readonly gasUgPerNml: number | undefined
  readonly flowMlPerMin: number | undefined
  readonly plateau: Relative | undefined
  readonly rate: Relative | undefined
  /** ln 20/k, min. */
  readonly t95FromZero: Relative | undefined
  /** What it reached without levelling off took at least this long, min. */
  readonly atLeastMin: number | undefined
  readonly whyNoRise: string
  readonly ozoneMin: number | undefined
  readonly afterPurge: Relative | undefined
  readonly halfLife: Relative | undefined
  readonly halfLife20c: Relative | undefined
  readonly whyNoDecay: string
  readonly decayMin: number
  readonly decayOrder: number
  /** Scatter of its readings about the fit, mg/L. */
  readonly riseSdMgL: number | undefined
  readonly decaySdMgL: number | undefined
}

export const batchFacts = (source: BatchSource): BatchFacts => {
  const { summary, analysis, calibratedIn, calibrations, day } = source
  const { rise, purge, decay } = firstFilling(analysis)
  return {
    ...{ summary, calibratedIn, calibrations, day },
    finished: summary.head.discarded_at !== null,
    ...conditionsIn(source),
    plateau: relativeOf(estimateIn(rise?.plateau_mg_l)),
    rate: relativeOf(estimateIn(rise?.rate_per_min)),
    t95FromZero: relativeOf(estimateIn(rise?.t95_from_zero_min)),
    atLeastMin: boundIn(rise?.t95_min),
    whyNoRise: whyNot(rise, rise?.t95_from_zero_min ?? rise?.plateau_mg_l),
    ozoneMin: rise && minutesOf(rise),
    afterPurge: relativeOf(estimateIn(decay?.start_mg_l) ?? estimateIn(purge?.end_mg_l)),
    halfLife: relativeOf(estimateIn(decay?.half_life_min)),
    halfLife20c: relativeOf(estimateIn(decay?.half_life_20c_min)),
    whyNoDecay: whyNot(decay, decay?.half_life_20c_min),
    decayMin: decay ? minutesOf(decay) : 0,
    decayOrder: decay?.order ?? 1,
    riseSdMgL: rise?.residual_sd_mg_l,
    decaySdMgL: decay?.residual_sd_mg_l,
  }
}

interface Filling {
  readonly rise?: AnalysedRise
  readonly purge?: AnalysedPurge
  readonly decay?: AnalysedDecay
}

/** A batch that was bubbled again counts with its first filling. */
const firstFilling = ({ phases }: Analysis): Filling => {
  const first = phases.findIndex((p) => p.kind === 'rise')
  const rise = phases[first]
  if (rise?.kind !== 'rise') return {}
  const next = phases.findIndex((p, i) => i > first && p.kind === 'rise')
  const after = phases.slice(first + 1, next < 0 ? phases.length : next)
  const purge = after.find((p) => p.kind === 'purge')
  const decay = after.find((p) => p.kind === 'decay')
  return { rise, ...(purge ? { purge } : {}), ...(decay ? { decay } : {}) }
}

const conditionsIn = ({ summary, conditions }: BatchSource) => {
  const { head, mean_temperature_c: mean } = summary
  const celsius = summary.bubbling_temperature_c ?? mean
  const kpa = conditions.pressureKpa ?? NORMAL_KPA
  const recorded =
    head.gas === null || celsius === null
      ? undefined
      : toNormal(
          { ugPerMl: head.gas.ug_per_ml, reference: head.gas.reference as GasReference },
          { celsius, kpa },
        )
  return {
    temperatureC: celsius ?? undefined,
    gasUgPerNml: conditions.gasUgPerNml ?? recorded,
    flowMlPerMin: conditions.flowMlPerMin ?? head.flow_ml_per_min ?? undefined,
  }
}

const minutesOf = ({ start, end }: { readonly start: string; readonly end: string }): number =>
  (Date.parse(end) - Date.parse(start)) / 60_000

const boundIn = (quantity: Quantity | undefined): number | undefined =>
  quantity !== undefined && 'at_least' in quantity ? quantity.at_least : undefined

const whyNot = (
  phase: { readonly why?: string | undefined } | undefined,
  quantity: Quantity | undefined,
): string => {
  if (phase === undefined) return 'it was not seen'
  if (phase.why !== undefined) return phase.why
  return quantity !== undefined && 'why' in quantity ? quantity.why : 'not found'
}
