import { setTimeout as sleep } from 'node:timers/promises'
import type { Sending } from './sending.ts'

const REPORT_EVERY_MS = 1000

/** Waits that tests shorten by `scale`; an aborted one returns at once. */
export const scaledWait = (scale: number) => (ms: number, signal: AbortSignal) =>
  sleep(ms * scale, undefined, { signal }).catch(() => undefined)

/** Runs it as a process of its own until that is told to stop or its parent is gone; then `close` is called. */
export const runSending = async (part: string, sending: Sending, close: () => void): Promise<void> => {
  const ending = new AbortController()
  const end = () => ending.abort()
  process.once('SIGTERM', end)
  process.once('SIGINT', end)
  if (process.connected) process.once('disconnect', end)
  process.send?.({ kind: 'started', part })
  const heartbeat = setInterval(sending.report, REPORT_EVERY_MS)
  await sending.run(ending.signal)
  clearInterval(heartbeat)
  close()
  if (process.connected) process.disconnect()
}
