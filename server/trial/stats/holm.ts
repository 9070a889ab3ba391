/**
 * Holm's step-down correction: adjusted p values in the order given, never below the raw ones, at most 1.
 * Holm, Scand. J. Stat. 6, 65 (1979).
 */
export const holm = (p: readonly number[]): number[] => {
  const ranked = p.map((value, index) => ({ value, index })).sort((a, b) => a.value - b.value)
  const adjusted = new Array<number>(p.length)
  let most = 0
  for (const [rank, { value, index }] of ranked.entries()) {
    most = Math.max(most, Math.min(1, (p.length - rank) * value))
    adjusted[index] = most
  }
  return adjusted
}
