import type { LiveClock } from '../../../ingest/bench-simulator/live-clock.ts'

export interface HandClock extends LiveClock {
  /** Lets time pass; timers that fall due run at their moment. */
  pass(ms: number): void
  /** Lets time pass with nothing running, as when a computer sleeps; due timers run at the end. */
  sleep(ms: number): void
}

/** A clock that the test moves. */
export const handClock = (startMs: number): HandClock => {
  let nowMs = startMs
  const timers = new Map<() => void, number>()
  const runDue = () => {
    for (const [run, atMs] of [...timers]) if (atMs <= nowMs && timers.delete(run)) run()
  }
  const clock: HandClock = {
    nowMs: () => nowMs,
    after(delayMs, run) {
      const timer = () => run()
      timers.set(timer, nowMs + delayMs)
      return () => timers.delete(timer)
    },
    pass(ms) {
      const endMs = nowMs + ms
      while (Math.min(...timers.values()) <= endMs) {
        nowMs = Math.max(nowMs, Math.min(...timers.values()))
        runDue()
      }
      nowMs = endMs
    },
    sleep(ms) {
      nowMs += ms
      runDue()
    },
  }
  return clock
}
