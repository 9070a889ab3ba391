import type { EventLog } from '../../ingest/store/event-log.ts'
import type { ServerClock } from './server-clock.ts'

/** When the logging program last said that it is there, µs; 0: never. */
export const loggingSeenUs = (ports: ReturnType<EventLog['ports']>): number =>
  Math.max(0, ...ports.map((port) => port.timeUs))

/**
 * For how long it has said nothing, s, by steady time: it counts anew whenever what it says changes. Before the server
 * started it may have been silent for days, which is no fault of its own.
 */
export const watchLogging = (
  events: Pick<EventLog, 'ports'>,
  clock: Pick<ServerClock, 'steadyMs'>,
): (() => number) => {
  let seenUs = loggingSeenUs(events.ports())
  let sinceMs = clock.steadyMs()
  return () => {
    const nowUs = loggingSeenUs(events.ports())
    if (nowUs !== seenUs) sinceMs = clock.steadyMs()
    seenUs = nowUs
    return (clock.steadyMs() - sinceMs) / 1000
  }
}
