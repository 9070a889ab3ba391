/** Whether two lists hold the same values in the same order; NaN equals NaN. */
export const sameValues = <T extends Float64Array | Uint8Array>(a: T, b: T): boolean => {
  if (a.length !== b.length) return false
  for (let i = 0; i < a.length; i++) if (!Object.is(a[i], b[i])) return false
  return true
}
