import { type Batch, foldBatch } from './batch.ts'
import type { Ledger } from './ledger.ts'

/** The batch opened last at a bench, openings that were taken back passed over; it may be discarded already. */
export const newestBatchAt = (ledger: Ledger, bench: string): Batch | undefined => {
  for (const id of ledger.batchesOpenedAt(bench)) {
    const batch = foldBatch(ledger.ofBatch(id))
    if (batch && !openingUndone(batch)) return batch
  }
  return undefined
}

/** Was the opening itself a wrong tap? Then the batch counts as never made. */
export const openingUndone = (batch: Batch): boolean =>
  batch.entries.some((entry) => entry.kind === 'batch-opened' && batch.undone.has(entry.id))
