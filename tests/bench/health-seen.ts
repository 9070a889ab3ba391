import type { AlarmView, Health } from '../../server/wire.ts'
import { get } from '../support/api.ts'

/** What a person with the program's own page open would have seen of the backlog. */
export interface HealthSeen {
  /** Greatest number of readings said to wait. */
  readonly waiting: number
  readonly oldestS: number
  readonly states: ReadonlySet<string>
  /** From the first look to the alarm, s; null: never. */
  readonly alarmedAfterS: number | null
  /** Longest time an answer took, ms. */
  readonly slowestMs: number
}

const EVERY_MS = 1000

/** Asks /api/health and /api/alarms once a second until told to stop. */
export const lookAtHealth = (address: string) => {
  let seen: HealthSeen = { waiting: 0, oldestS: 0, states: new Set(), alarmedAfterS: null, slowestMs: 0 }
  const began = performance.now()
  const look = async () => {
    const asked = performance.now()
    const [{ forwarding }, alarms] = await Promise.all([
      get<Health>(address, '/api/health'),
      get<AlarmView[]>(address, '/api/alarms'),
    ])
    const now = performance.now()
    const isAlarmed = alarms.some((a) => a.alarm === 'forwarding-backlog')
    seen = {
      waiting: Math.max(seen.waiting, forwarding?.waiting ?? 0),
      oldestS: Math.max(seen.oldestS, forwarding?.oldest_waiting_s ?? 0),
      states: new Set([...seen.states, forwarding?.state ?? 'none']),
      alarmedAfterS: seen.alarmedAfterS ?? (isAlarmed ? (now - began) / 1000 : null),
      slowestMs: Math.max(seen.slowestMs, now - asked),
    }
  }
  let under: Promise<void> = Promise.resolve()
  let trouble: unknown
  const timer = setInterval(() => {
    under = under.then(look).catch((error: unknown) => {
      trouble ??= error
    })
  }, EVERY_MS)
  return async (): Promise<HealthSeen> => {
    clearInterval(timer)
    await under
    if (trouble !== undefined) throw trouble
    return seen
  }
}
