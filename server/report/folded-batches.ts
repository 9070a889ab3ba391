import { type Batch, foldBatch } from '../ledger/batch.ts'
import type { LedgerView } from './as-of.ts'

/** Some tens of kilobytes each. */
const MOST_REMEMBERED = 1000

/** Batches folded from their entries, each once until it gets another entry: history looks through all of them again and again. */
export class FoldedBatches {
  private readonly ledger: Pick<LedgerView, 'ofBatch' | 'newestSeqOf'>
  private readonly known = new Map<string, { readonly seq: number; readonly batch: Batch }>()

  constructor(ledger: Pick<LedgerView, 'ofBatch' | 'newestSeqOf'>) {
    this.ledger = ledger
  }

  of(id: string): Batch | undefined {
    const seq = this.ledger.newestSeqOf(id)
    const known = this.known.get(id)
    if (known?.seq === seq) return known.batch
    const batch = foldBatch(this.ledger.ofBatch(id))
    if (!batch) return undefined
    this.known.delete(id)
    this.known.set(id, { seq, batch })
    if (this.known.size > MOST_REMEMBERED) this.known.delete(this.known.keys().next().value ?? '')
    return batch
  }
}
