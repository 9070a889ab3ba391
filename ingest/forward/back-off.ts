const FIRST_MS = 500
/** A place that is back after hours has what it missed within moments; a refused connection four times a minute is no load. */
const LONGEST_MS = 15_000
const DOUBLINGS = 10

/**
 * How long to wait before the next try, ms: doubled each time to a quarter of a minute, a fifth of it by chance so that many
 * sites do not come back in step; never shorter than the server asked for.
 *
 * @param failures tries that failed in a row, from 1
 * @param askedMs what the server asked for (`Retry-After`), 0 when it did not
 * @param chance from 0 to 1
 */
export const backOffMs = (failures: number, askedMs: number, chance: number): number => {
  const full = Math.min(LONGEST_MS, FIRST_MS * 2 ** Math.min(DOUBLINGS, failures - 1))
  return Math.max(askedMs, full * (0.8 + 0.2 * chance))
}
