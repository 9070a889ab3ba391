/** The same bytes in pieces, cut after so many each time. */
export const splitAt = (all: Uint8Array, lengths: readonly number[]): Uint8Array[] => {
  const chunks: Uint8Array[] = []
  let at = 0
  for (const length of lengths) {
    chunks.push(all.subarray(at, at + length))
    at += length
  }
  return [...chunks, all.subarray(at)]
}
