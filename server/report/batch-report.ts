import type { Reading } from '../../ingest/reading/reading.ts'
import type { SqliteStore } from '../../ingest/store/sqlite-store.ts'
import type { SeriesInfo } from '../../ingest/store/store.ts'
import { type TimeUs, timeUs } from '../../ingest/units.ts'
import type { AnalysisInput, NoiseHistory } from '../analysis/input.ts'
import type { LiveEstimate } from '../analysis/live-estimate.ts'
import type { Analysis } from '../analysis/schema.ts'
import { type CalibrationInForce, calibrationInForce } from '../calibration/in-force.ts'
import { type Batch, foldBatch } from '../ledger/batch.ts'
import type { Entry } from '../ledger/entry.ts'
import type { Ledger } from '../ledger/ledger.ts'
import { openingUndone } from '../ledger/newest-batch.ts'
import {
  analysisInput,
  batchStartUs,
  entryElapsedS,
  expectationInput,
  meanOf,
} from '../live/analysis-input.ts'
import { ChannelMemory } from '../live/bench-memory.ts'
import { isBeforeOpening, namesAheadUs, stepsWithin } from '../live/clock-steps.ts'
import { curvesView } from '../live/curves-view.ts'
import { CURVE_POINTS, type Estimator } from '../live/estimator.ts'
import { batchHead, fitSummary, forecastOf, verdictOf } from '../live/present.ts'
import type { BatchRecord, BatchSummary, Curves } from '../wire.ts'

/** Stands on every record: which program's numbers these are. */
export const ANALYSIS_VERSION = 'spargewatch.analysis/1'

/** After flow-off an undiscarded batch is read for this long at most. */
const LONGEST_BATCH_S = 24 * 3600

export interface Worked {
  readonly batch: Batch
  readonly input: AnalysisInput
  readonly estimate: LiveEstimate
  readonly calibration: CalibrationInForce | undefined
  readonly meanTemperatureC: number | undefined
}

/** What is kept of a batch that was worked out. */
export interface Outcome {
  readonly summary: BatchSummary
  readonly noise: NoiseHistory | undefined
}

interface Parts {
  readonly store: SqliteStore
  readonly ledger: Ledger
  readonly estimator: Estimator
  readonly simulated: (bench: string) => boolean
  readonly nowMs: () => number
}

const MOST_REMEMBERED = 2000

/** Past and present batches worked out from the store and the ledger, remembered until an entry changes them. */
export class BatchReports {
  private readonly parts: Parts
  private readonly outcomes = new Map<string, Outcome & { readonly key: string }>()

  constructor(parts: Parts) {
    this.parts = parts
  }

  batch(id: string): Batch | undefined {
    return foldBatch(this.parts.ledger.ofBatch(id))
  }

  /** Newest first. */
  *batches(): Generator<Batch> {
    for (const id of this.parts.ledger.batchesOpenedAt()) {
      const batch = this.batch(id)
      if (batch && !openingUndone(batch)) yield batch
    }
  }

  work(batch: Batch): Worked {
    const { store, estimator } = this.parts
    const startUs = batchStartUs(batch)
    const clockSteps = this.parts.ledger.ofKind('from-daemon').filter((e) => e.data.kind === 'clock-step')
    const end = batch.entries.findLast((e) => e.kind === 'discarded' && !batch.undone.has(e.id)) ?? {
      happened_at: new Date(this.parts.nowMs()).toISOString(),
      seq: Number.MAX_SAFE_INTEGER,
    }
    const endS = Math.min(LONGEST_BATCH_S, entryElapsedS(end, startUs, stepsWithin(batch, clockSteps)))
    const endUs = timeUs(
      Math.min(startUs + LONGEST_BATCH_S * 1e6, Date.parse(end.happened_at) * 1000) +
        namesAheadUs(clockSteps),
    )
    const belongs = { endS, tooOld: isBeforeOpening(batch, clockSteps) }
    const series = store.wiring().filter((s) => s.bench === batch.bench)
    const calibrations = this.parts.ledger.ofKind('calibration')
    const potency = this.read(
      this.seriesWithReadings(series, 'dissolved-ozone', startUs, endUs),
      startUs,
      endUs,
      calibrations,
      belongs,
    )
    const temperature = this.read(
      this.seriesWithReadings(series, 'fluid-temperature', startUs, endUs),
      startUs,
      endUs,
      calibrations,
      belongs,
    )
    const input = analysisInput({
      batch,
      startUs,
      potency: potency.memory,
      temperature: temperature.memory,
      calibration: potency.calibration,
      fullScaleMgL: potency.series?.fullScale ?? null,
      history: undefined,
      noise: undefined,
      clockSteps,
      nowS: endS,
    })
    return {
      batch,
      input,
      estimate: estimator(input, CURVE_POINTS),
      calibration: potency.calibration,
      meanTemperatureC: meanOf(temperature.memory.values.view()),
    }
  }

  private seriesWithReadings(
    series: readonly SeriesInfo[],
    channel: string,
    from: TimeUs,
    to: TimeUs,
  ): SeriesInfo | undefined {
    const candidates = series.filter((s) => s.channel === channel)
    return candidates.find((s) => this.parts.store.envelopeNow(s, from, to, 1).length > 0)
  }

  private read(
    series: SeriesInfo | undefined,
    from: TimeUs,
    to: TimeUs,
    calibrations: readonly Entry[],
    { endS, tooOld }: { readonly endS: number; readonly tooOld: (reading: Reading) => boolean },
  ) {
    const at = new Date(to / 1000).toISOString()
    const calibration = series && calibrationInForce(calibrations, series.instrument, series.channel, at)
    const memory = new ChannelMemory(from, calibration)
    for (const reading of series ? this.parts.store.rangeNow(series, from, to) : [])
      if (!tooOld(reading)) memory.add(reading, 0, { fromS: 0, toS: endS })
    return { memory, calibration, series }
  }

  summary(batch: Batch): BatchSummary {
    return this.outcome(batch).summary
  }

  /** What a batch came to; remembered once it is discarded, until an entry or a calibration changes it. */
  outcome(batch: Batch): Outcome {
    const key = `${batch.newestSeq}/${this.parts.ledger.ofKind('calibration').length}`
    const remembered = this.outcomes.get(batch.id)
    if (remembered?.key === key && batch.discardedAt) return remembered
    const worked = this.work(batch)
    const outcome = { key, summary: this.summaryOf(worked), noise: worked.estimate.noise }
    this.outcomes.delete(batch.id)
    this.outcomes.set(batch.id, outcome)
    if (this.outcomes.size > MOST_REMEMBERED) this.outcomes.delete(this.outcomes.keys().next().value ?? '')
    return outcome
  }

  private summaryOf(worked: Worked): BatchSummary {
    const fits = worked.estimate.analysis.phases.map(fitSummary)
    const rise = fits.find((f) => f.kind === 'rise')
    const decay = fits.findLast((f) => f.kind === 'decay')
    return {
      head: batchHead(worked.batch, this.parts.simulated(worked.batch.bench)),
      plateau_mg_l: rise?.plateau_mg_l ?? null,
      t95_min: rise?.t95_min ?? null,
      half_life_min: decay?.half_life_min ?? null,
      half_life_20c_min: decay?.half_life_20c_min ?? null,
      mean_temperature_c: worked.meanTemperatureC ?? null,
    }
  }

  analysis(batch: Batch): Analysis {
    return this.work(batch).estimate.analysis
  }

  record(batch: Batch): BatchRecord {
    const worked = this.work(batch)
    const { analysis } = worked.estimate
    const head = this.parts.ledger.head()
    return {
      summary: this.summaryOf(worked),
      entries: batch.entries.map((entry) => ({ ...entry, data: { ...entry.data } })),
      fits: analysis.phases.map(fitSummary),
      verdicts: analysis.verdicts.map(verdictOf),
      gaps: gapsOf(batch),
      calibration: worked.calibration
        ? { at: worked.calibration.at, method: worked.calibration.data.method }
        : null,
      ledger_head: head.head,
      ledger_entries: head.entries,
      analysis_version: ANALYSIS_VERSION,
      curves: this.curves(worked),
    }
  }

  private curves(worked: Worked): Curves {
    const { batch, estimate } = worked
    return curvesView({
      bench: batch.bench,
      batch,
      estimate,
      expectation: expectationInput(batch, worked.meanTemperatureC),
      forecast: forecastOf(undefined, batch.settings.target_mg_l ?? null),
      nowMs: batch.discardedAt ? Date.parse(batch.discardedAt) : this.parts.nowMs(),
    })
  }
}

const gapsOf = (batch: Batch): { from: string; to: string }[] =>
  batch.entries.flatMap((entry) =>
    entry.kind === 'from-daemon' && entry.data.kind === 'gap'
      ? [
          {
            from: new Date(Number(entry.data.detail['from_us']) / 1000).toISOString(),
            to: new Date(Number(entry.data.detail['to_us']) / 1000).toISOString(),
          },
        ]
      : [],
  )
