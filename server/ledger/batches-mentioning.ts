import type { Database } from 'better-sqlite3'

/** ASCII is all that SQLite lowers; other letters are looked for by who reads the batch. */
const isAscii = (text: string): boolean => /^[\x20-\x7e]*$/.test(text)

/**
 * Batches with an entry that holds these words, in any letters, so that not every batch of years is read to search them:
 * at least every one that a reader of its entries would find. Undefined: the words cannot be looked for this way.
 */
export const batchesMentioning = (db: Database, words: string): ReadonlySet<string> | undefined => {
  if (!isAscii(words)) return undefined
  const asInJson = JSON.stringify(words).slice(1, -1)
  const found = db
    .prepare(
      `SELECT DISTINCT batch FROM entry
       WHERE batch IS NOT NULL AND (instr(lower(data), lower(@words)) > 0 OR instr(lower(who), lower(@words)) > 0)`,
    )
    .pluck()
    .all({ words: asInJson }) as string[]
  return new Set(found)
}
