import type { Batch } from '../ledger/batch.ts'
import { isAboutTheRecord } from '../ledger/people-entry.ts'
import type { LedgerView } from './as-of.ts'

/** A step of the clock is recorded a moment after it happened. */
const CLOCKS_APART_MS = 3_600_000

/** Of what a batch's results are worked out from, in the record: another key, other results. */
export class ResultsKeys {
  private readonly ledger: Pick<LedgerView, 'ofKind' | 'head'>
  private known: { readonly entries: number; readonly times: readonly number[] } | undefined

  constructor(ledger: Pick<LedgerView, 'ofKind' | 'head'>) {
    this.ledger = ledger
  }

  of(batch: Batch): string {
    // what applies only after its end changes nothing of it
    const endMs =
      batch.discardedAt === null ? Number.POSITIVE_INFINITY : Date.parse(batch.discardedAt) + CLOCKS_APART_MS
    const corrections = this.corrections().filter((at) => at <= endMs).length
    const newest = batch.entries.findLast((entry) => !isAboutTheRecord(entry.kind))
    return `${newest?.seq ?? 0}/${corrections}`
  }

  /** When each calibration and step test happened, read anew only when the record has grown. */
  private corrections(): readonly number[] {
    const { entries } = this.ledger.head()
    if (this.known?.entries !== entries) {
      const times = (['calibration', 'step-test'] as const).flatMap((kind) =>
        this.ledger.ofKind(kind).map((e) => Date.parse(e.happened_at)),
      )
      this.known = { entries, times }
    }
    return this.known.times
  }
}
