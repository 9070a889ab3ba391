import { createHash } from 'node:crypto'
import { existsSync } from 'node:fs'
import { KeptResults, resultsFile } from '../../ingest/store/kept-results.ts'
import type { NoiseHistory } from '../analysis/input.ts'
import type { Analysis } from '../analysis/schema.ts'
import type { ServerConfig } from '../config.ts'
import type { Ledger } from '../ledger/ledger.ts'
import type { BatchRecord, BatchSummary } from '../wire.ts'

/** Results of a batch as they are kept before its raw readings are removed. */
export interface KeptDocument {
  readonly schema: 'spargewatch.results/1'
  readonly kept_at: string
  readonly key: string
  /** Without what is always read from the record itself. */
  readonly record: Omit<BatchRecord, 'entries' | 'review' | 'ledger_head' | 'ledger_entries' | 'results_kept'>
  readonly analysis: Analysis
  /** As later batches see it: worked out without knowing earlier ones. */
  readonly outcome: { readonly summary: BatchSummary; readonly noise: NoiseHistory | null }
}

export const hashOfDocument = (document: string): string =>
  createHash('sha256').update(document, 'utf8').digest('hex')

export interface KeptDocuments {
  /** Undefined when there is none, or when it is not the one that the record's hash is of. */
  of(batch: string, ledgerEntries: number): KeptDocument | undefined
}

/** Kept results, each held against the hash in the record. */
export const keptDocuments = (
  results: Pick<KeptResults, 'newest'>,
  ledger: Pick<Ledger, 'byId'>,
  onTrouble: (error: unknown) => void,
): KeptDocuments => ({
  of: (batch, ledgerEntries) => {
    const found = results.newest(batch, ledgerEntries)
    if (found === undefined) return undefined
    const entry = ledger.byId(found.entry)
    if (entry?.kind === 'results-kept' && entry.data.sha256 === hashOfDocument(found.document))
      return JSON.parse(found.document) as KeptDocument
    onTrouble(new Error(`the kept results of batch ${batch} are not those that the record names: not used`))
    return undefined
  },
})

/** The file of kept results of a home: where raw readings are removed, or once were. */
export const openResults = (
  { home, simulated, keepRawDays }: Pick<ServerConfig, 'home' | 'simulated' | 'keepRawDays'>,
  writes = true,
): KeptResults | undefined =>
  keepRawDays === null && !existsSync(resultsFile(home))
    ? undefined
    : new KeptResults(resultsFile(home), simulated ? 'simulated' : 'real', writes)
