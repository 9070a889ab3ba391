/** The time a live bench runs on; tests bring their own. */
export interface LiveClock {
  /** Milliseconds since 1970 that never go back. */
  nowMs(): number
  /** Runs once after the delay; the result calls it off. */
  after(delayMs: number, run: () => void): () => void
}

/**
 * Wall time at the program's start, carried on by the monotonic clock: an instrument has its own time, and a correction
 * of the computer's clock must not make it pause or hurry.
 */
export const machineClock: LiveClock = {
  nowMs: () => performance.timeOrigin + performance.now(),
  after(delayMs, run) {
    const timer = setTimeout(run, delayMs)
    return () => clearTimeout(timer)
  },
}
