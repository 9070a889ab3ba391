import { median } from 'simple-statistics'
import type { BatchHistory, LogSpread, NoiseHistory, PastBatch } from '../analysis/input.ts'
import { sameReference } from '../calibration/measured-against.ts'
import type { Batch } from '../ledger/batch.ts'
import { type GasReference, NORMAL_KPA } from '../model/gas-concentration.ts'
import { coreSaturation } from '../model/saturation.ts'
import type { BatchSummary } from '../wire.ts'
import { fillingOf, settingCells } from './setting-cells.ts'
import { shrunkSpread } from './shrunk-spread.ts'

/** What earlier batches teach about the one at hand. */
export interface Past {
  /** Finished batches of the same fluid: for forecast and verdict. */
  readonly history: BatchHistory | undefined
  /** How the meter of the same bench scatters: for the first minutes, before a batch shows it by itself. */
  readonly noise: NoiseHistory | undefined
  /** Of the finished batches of the same fluid: how many were measured against another reference. */
  readonly otherReference: number
}

/** Nothing is known of before. */
export const NO_PAST: Past = { history: undefined, noise: undefined, otherReference: 0 }

/** What is kept of a batch that was worked out. */
export interface Outcome {
  readonly summary: BatchSummary
  readonly noise: NoiseHistory | undefined
}

interface Outcomes {
  /** Newest first. */
  batches(): Iterable<Batch>
  outcome(batch: Batch): Outcome
  /** Kinds of reference the values of a batch rest on, without working it out. */
  measuredAgainst(batch: Batch): readonly string[]
}

const MOST_BATCHES = 30
const MOST_NOISE = 10
/** Of each fluid; enough to hold "colder lasts longer" and the like against. */
const MOST_SINGLES = 10
/** Fewer batches say nothing about the spread between batches. */
export const LEAST_BATCHES = 3

/**
 * Batches opened before this one: what came later teaches nothing about it. Plateaus only of batches measured against
 * the same reference; half-lives of all, because a common factor does not change them.
 */
export const pastOf = (batch: Batch, reports: Outcomes): Past => {
  const own = reports.measuredAgainst(batch)
  const alike: BatchSummary[] = []
  const noises: NoiseHistory[] = []
  let otherReference = 0
  const ofFluid = new Map<string, PastBatch[]>()
  for (const other of reports.batches()) {
    if (other.openedAt >= batch.openedAt || other.id === batch.id || !other.discardedAt) continue
    const { fluid } = other.settings
    const sameFluid = fluid === batch.settings.fluid && alike.length < MOST_BATCHES
    const sameMeter = other.bench === batch.bench && noises.length < MOST_NOISE
    const singles = ofFluid.get(fluid) ?? []
    if (!sameFluid && !sameMeter && singles.length >= MOST_SINGLES) continue
    const { summary: found, noise }: Outcome = reports.outcome(other)
    const isSame = sameReference(own, found.measured_against)
    const summary = isSame ? found : { ...found, plateau_mg_l: null }
    if (sameFluid && !isSame) otherReference += 1
    if (sameFluid) alike.push(summary)
    if (sameMeter && noise) noises.push(noise)
    if (singles.length < MOST_SINGLES) ofFluid.set(fluid, [...singles, pastBatch(other, summary)])
  }
  return {
    history: historyOf(batch, alike, [...ofFluid.values()].flat()),
    noise: typicalNoise(noises),
    otherReference,
  }
}

/** Numbers only: a bound cannot be held against another batch. */
const pastBatch = ({ settings }: Batch, summary: BatchSummary): PastBatch => {
  const temperatureC = summary.mean_temperature_c
  const plateau = numberIn(summary.plateau_mg_l)
  const halfLife = numberIn(summary.half_life_min)
  const halfLife20c = numberIn(summary.half_life_20c_min)
  return {
    fluid: settings.fluid,
    ...(settings.gas ? { gas: { ugPerMl: settings.gas.ug_per_ml, reference: settings.gas.reference } } : {}),
    ...(temperatureC === null ? {} : { temperatureC }),
    ...(plateau === null ? {} : { plateauMgPerL: plateau }),
    ...(halfLife === null ? {} : { halfLifeMin: halfLife }),
    ...(halfLife20c === null ? {} : { halfLife20cMin: halfLife20c }),
  }
}

export const numberIn = (e: BatchSummary['plateau_mg_l']): number | null =>
  e?.bound === null ? e.value : null

/** By setting (volume and flow), each drawn towards the others of the fluid. */
const historyOf = (
  { settings }: Batch,
  alike: readonly BatchSummary[],
  singles: readonly PastBatch[],
): BatchHistory | undefined => {
  const own = { volumeMl: settings.volume_ml, flowMlPerMin: settings.flow_ml_per_min ?? null }
  const spread = (value: (s: BatchSummary) => number | null) =>
    shrunkSpread(
      settingCells(
        own,
        alike.map((s) => ({ filling: fillingOf(s), value: value(s) })),
      ),
    )
  const halfLife = spread((s) => numberIn(s.half_life_20c_min))
  const plateau = spread(overEquilibrium)
  if (!halfLife && !plateau && singles.length === 0) return undefined
  return {
    batches: alike.length,
    ...(halfLife ? { halfLife20cMin: halfLife } : {}),
    ...(plateau ? { plateauOverEquilibrium: plateau } : {}),
    singles,
  }
}

/** What it levelled off at over what pure physics would hold at its gas and temperature; null where one is not known. */
export const overEquilibrium = (summary: BatchSummary): number | null => {
  const { head } = summary
  const plateau = numberIn(summary.plateau_mg_l)
  const temperatureC = summary.bubbling_temperature_c ?? summary.mean_temperature_c
  if (plateau === null || head.gas === null || temperatureC === null) return null
  const gas = { ugPerMl: head.gas.ug_per_ml, reference: head.gas.reference as GasReference }
  const where = { gas, temperatureC, pressureKpa: NORMAL_KPA, saline: head.fluid === 'saline' }
  return plateau / coreSaturation(where).central
}

/** Of positive values, on the log scale; undefined for fewer than three. */
export const logSpreadOf = (values: readonly number[]): LogSpread | undefined => {
  const logs = values.filter((v) => v > 0).map(Math.log)
  if (logs.length < LEAST_BATCHES) return undefined
  const meanLog = logs.reduce((a, b) => a + b, 0) / logs.length
  const variance = logs.reduce((sum, l) => sum + (l - meanLog) ** 2, 0) / (logs.length - 1)
  return { meanLog, sdLog: Math.sqrt(variance) }
}

/** Medians: one batch with foam or a loose cable must not speak for the meter. */
const typicalNoise = (noises: readonly NoiseHistory[]): NoiseHistory | undefined => {
  if (noises.length < LEAST_BATCHES) return undefined
  return {
    sdMgPerL: median(noises.map((n) => n.sdMgPerL)),
    correlationTimeS: median(noises.map((n) => n.correlationTimeS)),
    whiteFraction: median(noises.map((n) => n.whiteFraction)),
  }
}
