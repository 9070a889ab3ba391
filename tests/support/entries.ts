import { join } from 'node:path'
import { v7 as uuidv7 } from 'uuid'
import type { EntryData, EntryKind } from '../../server/ledger/entry.ts'
import { Ledger, type NewEntry } from '../../server/ledger/ledger.ts'
import { temporaryFolder } from './temporary-folder.ts'

export const BATCH = '01900000-0000-7000-8000-000000000001'
const START_MS = Date.parse('2026-03-14T09:00:00Z')
export const atMinute = (minute: number): string => new Date(START_MS + minute * 60_000).toISOString()

export const OPENED: EntryData<'batch-opened'> = {
  number: 'A-2026-03-14-1',
  fluid: 'saline',
  lot: 'L1',
  volume_ml: 250,
  target_mg_l: 15,
  gas: { ug_per_ml: 60, reference: 'normal-0c-101kpa' },
  flow_ml_per_min: 500,
  prep_min: 7,
  measuring_place: 'companion-flask',
  purge: 'tube-lifted-clear',
}

export const newEntry = <K extends EntryKind>(
  kind: K,
  minute: number,
  data: EntryData<K>,
  more: Partial<NewEntry<K>> = {},
): NewEntry<K> => ({
  id: uuidv7(),
  happened_at: atMinute(minute),
  entered_at: atMinute(minute),
  bench: 'A',
  batch: BATCH,
  who: { name: 'Ines', how: 'typed' },
  kind,
  data,
  ...more,
})

/** A ledger in a file of its own that is gone after the test. */
export const temporaryLedger = (): { ledger: Ledger; path: string } => {
  const path = join(temporaryFolder(), 'ledger.db')
  return { ledger: new Ledger(path, 'real'), path }
}
