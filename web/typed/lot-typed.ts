/** A lot as typed or as a scanner sends it: separators that are no text are left out. Null when nothing is there. */
export const lotTyped = (text: string): string | null => {
  const plain = text.replace(/\p{Control}/gu, '').trim()
  return plain === '' ? null : plain
}

/** The ledger takes no longer one. */
export const LONGEST_LOT = 60
