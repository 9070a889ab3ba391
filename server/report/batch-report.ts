import type { SqliteStore } from '../../ingest/store/sqlite-store.ts'
import type { LiveEstimate } from '../analysis/live-estimate.ts'
import type { Analysis } from '../analysis/schema.ts'
import type { CalibrationInForce } from '../calibration/in-force.ts'
import { referenceOf, UNCALIBRATED } from '../calibration/measured-against.ts'
import type { Batch } from '../ledger/batch.ts'
import type { Ledger } from '../ledger/ledger.ts'
import { openingUndone } from '../ledger/newest-batch.ts'
import { expectationInput } from '../live/analysis-input.ts'
import { curvesView } from '../live/curves-view.ts'
import { CURVE_POINTS, type Estimator, SEEN_READINGS } from '../live/estimator.ts'
import { batchHead, fitSummary, forecastOf } from '../live/present.ts'
import { verdictOf } from '../live/verdict-words.ts'
import type { RuleOfThumb } from '../model/rules-of-thumb.ts'
import type { BatchRecord, BatchSummary, Curves } from '../wire.ts'
import type { Analysed } from './analysed.ts'
import { type AsOf, type LedgerView, ledgerAsOf } from './as-of.ts'
import { type BatchInput, readBatchInput } from './batch-input.ts'
import { temperatureBetween } from './bubbling-temperature.ts'
import { calibrationsUsed, distinct, measuredBy, typedBy } from './calibrations-used.ts'
import { NO_PAST, type Outcome, type Past, pastOf } from './clinic-history.ts'
import { FoldedBatches } from './folded-batches.ts'
import type { KeptDocument, KeptDocuments } from './kept-document.ts'
import { calibrationOf, gapsOf, removedOf, reviewOf } from './record-parts.ts'
import { ResultsKeys } from './results-key.ts'
import { workedFrom } from './worked-from.ts'

export interface Worked extends BatchInput {
  readonly batch: Batch
  readonly asOf: AsOf
  readonly estimate: LiveEstimate
}

interface Parts {
  readonly store: SqliteStore
  readonly ledger: Ledger
  readonly programVersion: string
  /** Reports as they were then; absent: as things stand. */
  readonly asOf?: AsOf
  readonly estimator: Estimator
  readonly rulesOfThumb: () => readonly RuleOfThumb[]
  readonly simulated: (bench: string) => boolean
  readonly nowMs: () => number
  /** Results of batches whose readings were removed; absent: none are kept. */
  readonly kept?: KeptDocuments
}

const MOST_REMEMBERED = 2000

/** Past and present batches worked out from the store and the ledger, remembered until an entry changes them. */
export class BatchReports {
  private readonly parts: Parts
  private readonly ledger: LedgerView
  private readonly folded: FoldedBatches
  private readonly keys: ResultsKeys
  private readonly outcomes = new Map<string, Outcome & { readonly key: string }>()

  constructor(parts: Parts) {
    this.parts = parts
    this.ledger = parts.asOf ? ledgerAsOf(parts.ledger, parts.asOf.ledgerEntries) : parts.ledger
    this.folded = new FoldedBatches(this.ledger)
    this.keys = new ResultsKeys(this.ledger)
  }

  batch(id: string): Batch | undefined {
    return this.folded.of(id)
  }

  /** Newest first. */
  *batches(of: { readonly bench?: string; readonly only?: ReadonlySet<string> } = {}): Generator<Batch> {
    for (const id of this.ledger.batchesOpenedAt(of.bench)) {
      if (of.only !== undefined && !of.only.has(id)) continue
      const batch = this.batch(id)
      if (batch && !openingUndone(batch)) yield batch
    }
  }

  private work(batch: Batch, past: Past): Worked {
    const { store, estimator, rulesOfThumb } = this.parts
    const asOf = this.asOf()
    const read = readBatchInput(batch, {
      store,
      ledger: this.ledger,
      asOf,
      rulesOfThumb: rulesOfThumb(),
      past,
    })
    return { ...read, batch, asOf, estimate: estimator(read.input, CURVE_POINTS, SEEN_READINGS) }
  }

  private asOf(): AsOf {
    const { asOf, store, nowMs } = this.parts
    return (
      asOf ?? { ledgerEntries: this.ledger.head().entries, readingsSeq: store.newestSeq(), atMs: nowMs() }
    )
  }

  summary(batch: Batch): BatchSummary {
    return this.outcome(batch).summary
  }

  /** What a batch came to; remembered once it is discarded, until an entry, a calibration or a step test changes it. */
  outcome(batch: Batch): Outcome {
    const remembered = this.remembered(batch)
    if (remembered) return remembered
    const key = this.keyOf(batch)
    const worked = this.work(batch, NO_PAST)
    const kept = this.keptOf(worked)
    const outcome = {
      key,
      summary: kept ? { ...kept.outcome.summary, head: this.headOf(batch) } : this.summaryOf(worked),
      noise: kept ? (kept.outcome.noise ?? undefined) : worked.estimate.noise,
    }
    this.outcomes.delete(batch.id)
    this.outcomes.set(batch.id, outcome)
    if (this.outcomes.size > MOST_REMEMBERED) this.outcomes.delete(this.outcomes.keys().next().value ?? '')
    return outcome
  }

  /** What was worked out before and still holds; only of discarded batches. */
  remembered(batch: Batch): Outcome | undefined {
    const found = batch.discardedAt ? this.outcomes.get(batch.id) : undefined
    return found?.key === this.keyOf(batch) ? found : undefined
  }

  /** Of what its results are worked out from, in the record: another key, other results. */
  keyOf(batch: Batch): string {
    return this.keys.of(batch)
  }

  /** Only where raw readings are gone: as long as they are there, results are worked out from them. */
  private keptOf({ batch, asOf, removedBefore }: Worked): KeptDocument | undefined {
    return removedBefore === undefined ? undefined : this.parts.kept?.of(batch.id, asOf.ledgerEntries)
  }

  headOf(batch: Batch): BatchSummary['head'] {
    return batchHead(batch, this.parts.simulated(batch.bench))
  }

  measuredAgainst(batch: Batch): readonly string[] {
    const used = this.calibrationsUsed(batch)
    if (used === undefined) return typedBy(batch)
    return used.length === 0 ? [UNCALIBRATED] : distinct(used.map((c) => referenceOf(c.data)))
  }

  /** Those in force from its ozone-on to its end; undefined where values are typed in. */
  calibrationsUsed(batch: Batch): readonly CalibrationInForce[] | undefined {
    return calibrationsUsed(batch, { ...this.parts, ledger: this.ledger })
  }

  private summaryOf(worked: Worked): BatchSummary {
    const fits = worked.estimate.analysis.phases.map(fitSummary)
    const rise = fits.find((f) => f.kind === 'rise')
    const decay = fits.findLast((f) => f.kind === 'decay')
    return {
      head: this.headOf(worked.batch),
      plateau_mg_l: rise?.plateau_mg_l ?? null,
      t95_min: rise?.t95_min ?? null,
      half_life_min: decay?.half_life_min ?? null,
      half_life_20c_min: decay?.half_life_20c_min ?? null,
      mean_temperature_c: worked.meanTemperatureC ?? null,
      bubbling_temperature_c: (rise && temperatureBetween(worked.input, rise.start, rise.end)) ?? null,
      measured_against: measuredBy(worked),
    }
  }

  analysis(batch: Batch): Analysis {
    return this.analysed(batch).analysis
  }

  /** With what instruments measured beside the flask and the fitted curves; nothing of that where raw readings are gone. */
  analysed(batch: Batch): Analysed {
    const worked = this.work(batch, pastOf(batch, this))
    const { conditions, estimate } = worked
    const kept = this.keptOf(worked)
    return kept
      ? { analysis: kept.analysis, conditions, curves: [] }
      : { analysis: estimate.analysis, conditions, curves: estimate.curves }
  }

  record(batch: Batch): BatchRecord {
    const past = pastOf(batch, this)
    const worked = this.work(batch, past)
    const kept = this.keptOf(worked)
    const head = this.ledger.head()
    return {
      ...(kept ? { ...kept.record, readings_removed_before: removedOf(worked) } : this.found(worked, past)),
      ...(kept ? { summary: { ...kept.record.summary, head: this.headOf(batch) } } : {}),
      results_kept: kept ? { at: kept.kept_at, newer_entries: kept.key !== this.keyOf(batch) } : null,
      review: reviewOf(batch),
      entries: batch.entries.map((entry) => ({ ...entry, data: { ...entry.data } })),
      ledger_head: head.head,
      ledger_entries: head.entries,
    }
  }

  /** What is to be kept of a finished batch; undefined when part of its raw readings is gone already. */
  document(batch: Batch): KeptDocument | undefined {
    const past = pastOf(batch, this)
    const worked = this.work(batch, past)
    if (worked.removedBefore !== undefined) return undefined
    const { summary, noise } = this.outcome(batch)
    return {
      schema: 'spargewatch.results/1',
      kept_at: new Date(this.parts.nowMs()).toISOString(),
      key: this.keyOf(batch),
      record: this.found(worked, past),
      analysis: worked.estimate.analysis,
      outcome: { summary, noise: noise ?? null },
    }
  }

  private found(worked: Worked, past: Past): KeptDocument['record'] {
    const { analysis } = worked.estimate
    return {
      summary: this.summaryOf(worked),
      fits: analysis.phases.map(fitSummary),
      verdicts: analysis.verdicts.map(verdictOf),
      notes: [...(analysis.notes ?? [])],
      gaps: gapsOf(worked.batch),
      readings_removed_before: removedOf(worked),
      calibration: calibrationOf(worked),
      worked_from: workedFrom({
        ...worked,
        analysis,
        otherReference: past.otherReference,
        programVersion: this.parts.programVersion,
      }),
      curves: this.curves(worked),
    }
  }

  private curves(worked: Worked): Curves {
    const { batch, estimate } = worked
    return curvesView({
      bench: batch.bench,
      batch,
      estimate,
      expectation: expectationInput(batch, worked.meanTemperatureC, worked.conditions),
      forecast: forecastOf(undefined, batch.settings.target_mg_l ?? null),
      nowMs: batch.discardedAt ? Date.parse(batch.discardedAt) : worked.asOf.atMs,
    })
  }
}
