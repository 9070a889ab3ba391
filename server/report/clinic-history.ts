import { median } from 'simple-statistics'
import type { BatchHistory, LogSpread, NoiseHistory } from '../analysis/input.ts'
import type { Batch } from '../ledger/batch.ts'
import type { BatchSummary } from '../wire.ts'
import type { BatchReports, Outcome } from './batch-report.ts'

/** What earlier batches teach about the one at hand. */
export interface Past {
  /** Finished batches of the same fluid: for forecast and verdict. */
  readonly history: BatchHistory | undefined
  /** How the meter of the same bench scatters: for the first minutes, before a batch shows it by itself. */
  readonly noise: NoiseHistory | undefined
}

const MOST_BATCHES = 30
const MOST_NOISE = 10
/** Fewer batches say nothing about the spread between batches. */
const LEAST_BATCHES = 3

export const pastOf = (batch: Batch, reports: BatchReports): Past => {
  const alike: BatchSummary[] = []
  const noises: NoiseHistory[] = []
  for (const other of reports.batches()) {
    if (alike.length >= MOST_BATCHES && noises.length >= MOST_NOISE) break
    if (other.id === batch.id || !other.discardedAt) continue
    const sameFluid = other.settings.fluid === batch.settings.fluid && alike.length < MOST_BATCHES
    const sameMeter = other.bench === batch.bench && noises.length < MOST_NOISE
    if (!sameFluid && !sameMeter) continue
    const { summary, noise }: Outcome = reports.outcome(other)
    if (sameFluid) alike.push(summary)
    if (sameMeter && noise) noises.push(noise)
  }
  return { history: historyOf(alike), noise: typicalNoise(noises) }
}

const historyOf = (alike: readonly BatchSummary[]): BatchHistory | undefined => {
  const halfLife = logSpread(alike.map((s) => s.half_life_20c_min))
  const plateau = logSpread(alike.map((s) => s.plateau_mg_l))
  if (!halfLife && !plateau) return undefined
  return {
    batches: alike.length,
    ...(halfLife ? { halfLife20cMin: halfLife } : {}),
    ...(plateau ? { plateauMgPerL: plateau } : {}),
  }
}

/** Values only: a bound says nothing about the spread. */
const logSpread = (estimates: readonly BatchSummary['plateau_mg_l'][]): LogSpread | undefined => {
  const logs = estimates.flatMap((q) =>
    q?.value && q.bound === null && q.value > 0 ? [Math.log(q.value)] : [],
  )
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
