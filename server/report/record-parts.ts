import { isoOf } from '../../ingest/units.ts'
import type { Batch } from '../ledger/batch.ts'
import type { BatchRecord } from '../wire.ts'
import type { BatchInput } from './batch-input.ts'

/** Raw readings before this are gone; null: all are there. */
export const removedOf = ({ removedBefore }: Pick<BatchInput, 'removedBefore'>): string | null =>
  removedBefore === undefined ? null : isoOf(removedBefore)

/** The newest of those used, where every reading is calibrated; all of them stand under `worked_from`. */
export const calibrationOf = ({ tally }: Pick<BatchInput, 'tally'>): BatchRecord['calibration'] => {
  const newest = tally.all().at(-1)?.by
  return newest && tally.uncertainty() ? { at: newest.at, method: newest.data.method } : null
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
