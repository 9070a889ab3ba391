import type { AlarmView } from '../server/wire.ts'

/** A high-priority alarm that nobody acknowledges is told again after so long, and so on until somebody does. */
export const AGAIN_AFTER_MS = 120_000

/** When each waiting alarm was last told, on the browser's steady clock. */
export type Told = ReadonlyMap<string, number>

export interface ToTell {
  readonly alarm: AlarmView
  /** Told before, and still waiting. */
  readonly again: boolean
}

/** Alarms to tell now, and what is told then: each raising once, those of high priority again and again. Pure. */
export const newlyWaiting = (
  told: Told,
  alarms: readonly AlarmView[],
  now_ms: number,
): { readonly tell: readonly ToTell[]; readonly told: Told } => {
  const waiting = alarms.filter((alarm) => alarm.state === 'unacknowledged')
  const tell = waiting.flatMap((alarm): ToTell[] => {
    const before = told.get(alarm.key)
    if (before === undefined) return [{ alarm, again: false }]
    return alarm.priority === 'high' && now_ms - before >= AGAIN_AFTER_MS ? [{ alarm, again: true }] : []
  })
  const now = new Set(tell.map(({ alarm }) => alarm.key))
  return {
    tell,
    told: new Map(waiting.map(({ key }) => [key, now.has(key) ? now_ms : (told.get(key) ?? now_ms)])),
  }
}
