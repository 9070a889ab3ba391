import { isoOf } from '../../ingest/units.ts'
import type { Batch } from '../ledger/batch.ts'
import type { EntryOf } from '../ledger/entry.ts'
import { isAboutTheRecord } from '../ledger/people-entry.ts'
import type { BatchRecord } from '../wire.ts'
import { workedOn } from '../wording/worked-on.ts'
import type { BatchInput } from './batch-input.ts'

/** Raw readings before this are gone; null: all are there. */
export const removedOf = ({ removedBefore }: Pick<BatchInput, 'removedBefore'>): string | null =>
  removedBefore === undefined ? null : isoOf(removedBefore)

/** The newest of those used, where every reading is calibrated; all of them stand under `worked_from`. */
export const calibrationOf = ({ tally }: Pick<BatchInput, 'tally'>): BatchRecord['calibration'] => {
  const newest = tally.all().at(-1)?.by
  return newest && tally.uncertainty() ? { at: newest.at, method: newest.data.method } : null
}

/** The newest review, and whether this batch got entries since; alarms of the program change nothing of it. */
export const reviewOf = (batch: Batch): BatchRecord['review'] => {
  const newest = batch.entries.findLast((e): e is EntryOf<'record-reviewed'> => e.kind === 'record-reviewed')
  if (!newest) return null
  const { meaning, ledger_entries, ledger_head } = newest.data
  const by = newest.who.name
  const changed = batch.entries.some(
    (e) => e.seq > newest.seq && e.kind !== 'alarm' && !isAboutTheRecord(e.kind),
  )
  // reviews from before this was kept with them are held against the entries they cover
  const covered = batch.entries.filter((e) => e.seq < newest.seq)
  const also_worked = newest.data.also_worked ?? workedOn(covered, by)
  return { meaning, by, at: newest.happened_at, ledger_entries, ledger_head, changed, also_worked }
}

export const gapsOf = (batch: Batch): { from: string; to: string }[] =>
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
