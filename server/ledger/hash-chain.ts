import { createHash } from 'node:crypto'
import canonicalizeModule from 'canonicalize'
import type { Entry } from './entry.ts'

// the package is CommonJS with an ES default: its type says module, its value is the function
const canonicalize = canonicalizeModule as unknown as (value: unknown) => string | undefined

/** Hash before the first entry. */
export const GENESIS = '0'.repeat(64)

export type Unhashed = Omit<Entry, 'hash'>

/** The canonical JSON (RFC 8785) of an entry with the hash before it: what its own hash is taken over. */
export const hashedText = (entry: Unhashed): string => {
  const { id, seq, happened_at, entered_at, bench, batch, who, why, kind, data, prev } = entry
  return canonicalJson({ id, seq, happened_at, entered_at, bench, batch, who, why, kind, data, prev })
}

/** SHA-256 of `hashedText`. */
export const hashOf = (entry: Unhashed): string =>
  createHash('sha256').update(hashedText(entry), 'utf8').digest('hex')

/** RFC 8785: one text for one value, whatever order its keys were made in. */
export const canonicalJson = (value: unknown): string => canonicalize(value) ?? ''

/** What a printed record or a back-up carries of the ledger, to check it against later. */
export interface Anchor {
  readonly entries: number
  readonly head: string
}

export type ChainResult =
  | {
      readonly ok: true
      readonly entries: number
      readonly head: string
      readonly anchor: 'matches' | 'none given'
    }
  | { readonly ok: false; readonly at: number; readonly why: string }

/**
 * Checks a whole ledger in order: numbering without a hole, each entry holding the hash of the one before,
 * each hash right. Consistency alone cannot show a cut tail or a ledger rewritten from the start; an anchor
 * from a printed record can.
 */
export const verifyChain = (entries: Iterable<Entry>, anchor?: Anchor): ChainResult => {
  let prev = GENESIS
  let seq = 0
  let atAnchor: string | undefined
  for (const entry of entries) {
    seq += 1
    if (entry.seq !== seq)
      return { ok: false, at: seq, why: `entry ${seq} is missing: the next one found is ${entry.seq}` }
    if (entry.prev !== prev)
      return { ok: false, at: seq, why: `entry ${seq} does not follow the entry before it` }
    if (hashOf(entry) !== entry.hash)
      return { ok: false, at: seq, why: `entry ${seq} was changed after it was written` }
    prev = entry.hash
    if (seq === anchor?.entries) atAnchor = entry.hash
  }
  if (anchor && seq < anchor.entries)
    return {
      ok: false,
      at: seq,
      why: `the anchor counts ${anchor.entries} entries, the ledger has ${seq}: its end was cut off`,
    }
  if (anchor && atAnchor !== anchor.head && anchor.entries > 0)
    return {
      ok: false,
      at: anchor.entries,
      why: `entry ${anchor.entries} is not the one the anchor was made from: the ledger was rewritten`,
    }
  return { ok: true, entries: seq, head: prev, anchor: anchor ? 'matches' : 'none given' }
}
