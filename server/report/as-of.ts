import type { Entry, EntryKind } from '../ledger/entry.ts'
import type { Ledger } from '../ledger/ledger.ts'

/** What was on file when a number was given: the key to getting the same number again. */
export interface AsOf {
  /** Entries of the ledger that count, from the first. */
  readonly ledgerEntries: number
  /** Readings that count: those with at most this arrival number. */
  readonly readingsSeq: number
  /** The moment the number was given, ms since 1970; matters for a batch that was not discarded yet. */
  readonly atMs: number
}

/** What reports need of the ledger. */
export type LedgerView = Pick<Ledger, 'ofBatch' | 'newestSeqOf' | 'batchesOpenedAt' | 'ofKind' | 'head'>

/** The ledger as it stood when it had `entries` entries; later ones are not seen. */
export const ledgerAsOf = (ledger: Ledger, entries: number): LedgerView => {
  const counts = (entry: Entry) => entry.seq <= entries
  return {
    ofBatch: (batch) => ledger.ofBatch(batch).filter(counts),
    newestSeqOf: (batch) => ledger.ofBatch(batch).findLast(counts)?.seq ?? 0,
    *batchesOpenedAt(bench) {
      for (const id of ledger.batchesOpenedAt(bench)) if (ledger.ofBatch(id).some(counts)) yield id
    },
    ofKind: <K extends EntryKind>(kind: K) => ledger.ofKind(kind).filter(counts),
    head: () => ledger.headAt(entries),
  }
}
