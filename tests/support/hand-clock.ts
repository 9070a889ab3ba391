import type { Clock } from '../../ingest/clock.ts'
import { timeUs } from '../../ingest/units.ts'
import type { ServerClock } from '../../server/live/server-clock.ts'

/** Both clocks of daemon and server, moved by the test alone. */
export interface HandClock {
  readonly daemon: Clock
  readonly server: ServerClock
  /** Time passes. */
  pass(seconds: number): void
  /** The wall clock jumps; time does not pass. */
  step(seconds: number): void
}

export const handClock = (startIso: string): HandClock => {
  let wallMs = Date.parse(startIso)
  let steadyMs = 5_000_000
  return {
    daemon: {
      now: () => timeUs(wallMs * 1000),
      monoMs: () => steadyMs,
      bootId: '00000000-0000-4000-8000-000000000001',
    },
    server: { nowMs: () => wallMs, steadyMs: () => steadyMs },
    pass: (seconds) => {
      wallMs += seconds * 1000
      steadyMs += seconds * 1000
    },
    step: (seconds) => {
      wallMs += seconds * 1000
    },
  }
}
