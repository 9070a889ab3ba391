/**
 * Time as this browser sees it. Two clocks, because each one fails alone: the monotonic clock may stand
 * still while a laptop sleeps, the wall clock may be set back. The later of the two decides.
 */
export interface Moment {
  readonly mono_ms: number
  readonly wall_ms: number
}

export interface Heard<T> {
  readonly value: T
  readonly heard: Moment
}

/** Milliseconds from `from` to `to`, never less than either clock says and never negative. */
export const elapsedMs = (from: Moment, to: Moment): number =>
  Math.max(0, to.mono_ms - from.mono_ms, to.wall_ms - from.wall_ms)

/**
 * The server's time now, ms since 1970: what it said in its last message plus the time since that arrived.
 * The browser's own wall clock may be wrong by hours and is never shown.
 */
export const serverNow = (said: string, heard: Moment, now: Moment): number =>
  Date.parse(said) + elapsedMs(heard, now)
