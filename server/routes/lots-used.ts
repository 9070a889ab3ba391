import type { EntryOf } from '../ledger/entry.ts'

export interface LotUsed {
  readonly lot: string
  readonly fluid: string
  readonly used_at: string
}

/** Lots of the batches opened last, newest first, each once; of one fluid where one is named. */
export const lotsUsed = (
  opened: readonly EntryOf<'batch-opened'>[],
  fluid: string | undefined,
  limit: number,
): LotUsed[] => {
  const found = new Map<string, LotUsed>()
  for (const { data, happened_at } of opened.toReversed()) {
    if (found.size >= limit) break
    if (data.lot === undefined || (fluid !== undefined && data.fluid !== fluid)) continue
    const key = `${data.fluid} ${data.lot}`
    if (!found.has(key)) found.set(key, { lot: data.lot, fluid: data.fluid, used_at: happened_at })
  }
  return [...found.values()]
}
