import { randomUUID } from 'node:crypto'
import { readFileSync } from 'node:fs'
import { uptime } from 'node:os'
import { type TimeUs, timeUs } from './units.ts'

/**
 * Two clocks. Wall time names a reading; uptime measures intervals, because wall time can step
 * (summer time, NTP, a hand on the clock) and a step must never reach a fit.
 */
export interface Clock {
  /** Wall time, µs UTC. */
  now(): TimeUs
  /** Milliseconds of uptime, time asleep included. Comparable between readings with the same `bootId`. */
  monoMs(): number
  readonly bootId: string
}

const SUSPEND_THRESHOLD_MS = 1500
const UPTIME_CHECK_MS = 1000

/**
 * Node's high-resolution timer stops while a laptop sleeps; `os.uptime()` does not but is coarse. The fine
 * timer is used, and moved forward when uptime has run ahead of it by more than uptime's own coarseness.
 */
export const systemClock = (): Clock => {
  const fine = () => Number(process.hrtime.bigint()) / 1e6
  let offset = uptime() * 1000 - fine()
  let checkedAt = fine()
  const monoMs = () => {
    const now = fine()
    if (now - checkedAt >= UPTIME_CHECK_MS) {
      checkedAt = now
      const ahead = uptime() * 1000 - now - offset
      if (ahead > SUSPEND_THRESHOLD_MS) offset += ahead
    }
    return now + offset
  }
  return { now: () => timeUs(Date.now() * 1000), monoMs, bootId: readBootId() }
}

const BOOT_ID_FILE = '/proc/sys/kernel/random/boot_id'

/** Where the kernel does not name its boots, every start of the daemon counts as one: never wrong, only stricter. */
const readBootId = (): string => {
  try {
    return readFileSync(BOOT_ID_FILE, 'utf8').trim()
  } catch {
    return randomUUID()
  }
}

/** Difference wall − uptime in µs: constant while the wall clock only ticks. */
export const wallOffsetUs = (clock: Clock): number => clock.now() - clock.monoMs() * 1000

const STEP_THRESHOLD_US = 500_000

/** A jump of the wall clock since the last look, µs; 0 for ordinary slewing. */
export const clockStep = (before: number, after: number): number =>
  Math.abs(after - before) > STEP_THRESHOLD_US ? after - before : 0
