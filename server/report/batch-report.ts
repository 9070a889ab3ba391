import type { SqliteStore } from '../../ingest/store/sqlite-store.ts'
import { isoOf } from '../../ingest/units.ts'
import type { LiveEstimate } from '../analysis/live-estimate.ts'
import type { Analysis } from '../analysis/schema.ts'
import { calibrationsOf, inForceAt } from '../calibration/in-force.ts'
import { referenceOf, UNCALIBRATED } from '../calibration/measured-against.ts'
import { type Batch, foldBatch } from '../ledger/batch.ts'
import type { Ledger } from '../ledger/ledger.ts'
import { openingUndone } from '../ledger/newest-batch.ts'
import { expectationInput } from '../live/analysis-input.ts'
import { curvesView } from '../live/curves-view.ts'
import { CURVE_POINTS, type Estimator } from '../live/estimator.ts'
import { batchHead, fitSummary, forecastOf } from '../live/present.ts'
import { verdictOf } from '../live/verdict-words.ts'
import type { RuleOfThumb } from '../model/rules-of-thumb.ts'
import type { BatchRecord, BatchSummary, Curves } from '../wire.ts'
import { type AsOf, type LedgerView, ledgerAsOf } from './as-of.ts'
import { type BatchInput, readBatchInput } from './batch-input.ts'
import { type Outcome, type Past, pastOf } from './clinic-history.ts'
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
}

const MOST_REMEMBERED = 2000
const NO_PAST: Past = { history: undefined, noise: undefined, otherReference: 0 }

/** Past and present batches worked out from the store and the ledger, remembered until an entry changes them. */
export class BatchReports {
  private readonly parts: Parts
  private readonly ledger: LedgerView
  private readonly outcomes = new Map<string, Outcome & { readonly key: string }>()

  constructor(parts: Parts) {
    this.parts = parts
    this.ledger = parts.asOf ? ledgerAsOf(parts.ledger, parts.asOf.ledgerEntries) : parts.ledger
  }

  batch(id: string): Batch | undefined {
    return foldBatch(this.ledger.ofBatch(id))
  }

  /** Newest first. */
  *batches(): Generator<Batch> {
    for (const id of this.ledger.batchesOpenedAt()) {
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
    return { ...read, batch, asOf, estimate: estimator(read.input, CURVE_POINTS) }
  }

  private asOf(): AsOf {
    const { asOf, store, nowMs } = this.parts
    return (
      asOf ?? {
        ledgerEntries: this.ledger.head().entries,
        readingsSeq: store.newestSeq(),
        atMs: nowMs(),
      }
    )
  }

  summary(batch: Batch): BatchSummary {
    return this.outcome(batch).summary
  }

  /** What a batch came to; remembered once it is discarded, until an entry, a calibration or a step test changes it. */
  outcome(batch: Batch): Outcome {
    const known = this.ledger.ofKind('calibration').length + this.ledger.ofKind('step-test').length
    const key = `${batch.newestSeq}/${known}`
    const remembered = this.outcomes.get(batch.id)
    if (remembered?.key === key && batch.discardedAt) return remembered
    const worked = this.work(batch, NO_PAST)
    const outcome = { key, summary: this.summaryOf(worked), noise: worked.estimate.noise }
    this.outcomes.delete(batch.id)
    this.outcomes.set(batch.id, outcome)
    if (this.outcomes.size > MOST_REMEMBERED) this.outcomes.delete(this.outcomes.keys().next().value ?? '')
    return outcome
  }

  measuredAgainst(batch: Batch): readonly string[] {
    const { store, nowMs } = this.parts
    const meters = store.wiring().filter((s) => s.bench === batch.bench && s.channel === 'dissolved-ozone')
    const meter = meters.find((s) => s.wired) ?? meters[0]
    if (!meter) return typedBy(batch)
    const own = calibrationsOf(this.ledger.ofKind('calibration'), meter.instrument, meter.channel)
    const startMs = Date.parse(batch.ozoneOnAt[0] ?? batch.openedAt)
    const endMs = batch.discardedAt ? Date.parse(batch.discardedAt) : nowMs()
    const first = inForceAt(own, startMs)
    const used = own.filter((c) => c === first || (Date.parse(c.at) > startMs && Date.parse(c.at) < endMs))
    return used.length === 0 ? [UNCALIBRATED] : distinct(used.map((c) => referenceOf(c.data)))
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
      measured_against: againstOf(worked),
    }
  }

  analysis(batch: Batch): Analysis {
    return this.work(batch, pastOf(batch, this)).estimate.analysis
  }

  record(batch: Batch): BatchRecord {
    const past = pastOf(batch, this)
    const worked = this.work(batch, past)
    const { analysis } = worked.estimate
    const head = this.ledger.head()
    return {
      summary: this.summaryOf(worked),
      entries: batch.entries.map((entry) => ({ ...entry, data: { ...entry.data } })),
      fits: analysis.phases.map(fitSummary),
      verdicts: analysis.verdicts.map(verdictOf),
      notes: [...(analysis.notes ?? [])],
      gaps: gapsOf(batch),
      readings_removed_before: worked.removedBefore === undefined ? null : isoOf(worked.removedBefore),
      calibration: calibrationOf(worked),
      ledger_head: head.head,
      ledger_entries: head.entries,
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

const againstOf = ({ batch, tally, meter }: Worked): string[] => {
  if (!meter) return typedBy(batch)
  const used = tally.all().map((u) => referenceOf(u.by.data))
  return used.length === 0 ? [UNCALIBRATED] : distinct(used)
}

const typedBy = (batch: Batch): string[] =>
  distinct(
    batch.handReadings
      .filter((r) => r.data.quantity === 'dissolved-ozone')
      .map((r) => `typed in, ${r.data.method}`),
  )

const distinct = (words: readonly string[]): string[] => [...new Set(words)].sort()

/** The newest of those used, where every reading is calibrated; all of them stand under `worked_from`. */
const calibrationOf = ({ tally }: Worked): BatchRecord['calibration'] => {
  const newest = tally.all().at(-1)?.by
  return newest && tally.uncertainty() ? { at: newest.at, method: newest.data.method } : null
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
