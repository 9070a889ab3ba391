import { ServerError } from '../errors.ts'
import type { Entry, EntryData, EntryKind, Who } from './entry.ts'
import type { Ledger } from './ledger.ts'

/** Something a person enters that belongs to no bench and no batch. */
export interface SiteChange {
  /** Made by the client: the same again is a retry and changes nothing. */
  readonly id: string
  readonly who: Who
  readonly why: string | null
  readonly nowMs: number
}

/** The entry that is there already for a retry, else what `write` writes. Throws `bad-request` when the id names another. */
export const repeatedOr = (
  ledger: Ledger,
  id: string,
  isSame: (there: Entry) => boolean,
  write: () => Entry,
): Entry => {
  const there = ledger.byId(id)
  if (!there) return write()
  if (isSame(there)) return there
  throw new ServerError('bad-request', `id ${id} already names another entry`, {
    fix: 'make a new UUIDv7 for each entry',
  })
}

export const appendSiteEntry = <K extends EntryKind>(
  ledger: Ledger,
  { id, who, why, nowMs }: SiteChange,
  kind: K,
  data: EntryData<K>,
): Entry => {
  const at = new Date(nowMs).toISOString()
  return ledger.append({
    ...{ id, happened_at: at, entered_at: at, bench: null, batch: null, who, why },
    kind,
    data,
  }).entry
}
