import type { Batch } from '../ledger/batch.ts'
import { csvRow } from '../routes/csv.ts'

/** The record of one batch, a row per entry, in the order they were entered. */
export function* recordCsv(batch: Batch): Generator<string> {
  yield csvRow([
    'seq',
    'happened_at',
    'entered_at',
    'kind',
    'who',
    'how',
    'why',
    'taken_back',
    'data',
    'hash',
  ])
  for (const e of batch.entries)
    yield csvRow([
      e.seq,
      e.happened_at,
      e.entered_at,
      e.kind,
      e.who.name,
      e.who.how,
      e.why,
      batch.undone.has(e.id) ? 'yes' : 'no',
      JSON.stringify(e.data),
      e.hash,
    ])
}
