const FIRST_MS = 500
const LONGEST_MS = 60_000
const DOUBLINGS = 10

/**
 * How long to wait before the next try, ms: doubled each time up to the longest, a fifth of it by chance so that many
 * sites do not come back in step; never shorter than the server asked for.
 *
 * @param failures tries that failed in a row, from 1
 * @param askedMs what the server asked for (`Retry-After`), 0 when it did not
 * @param chance from 0 to 1
 * @param longestMs a minute unless said otherwise
 */
export const backOffMs = (
  failures: number,
  askedMs: number,
  chance: number,
  longestMs = LONGEST_MS,
): number => {
  const full = Math.min(longestMs, FIRST_MS * 2 ** Math.min(DOUBLINGS, failures - 1))
  return Math.max(askedMs, full * (0.8 + 0.2 * chance))
}
