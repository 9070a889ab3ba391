import type { EntryOf } from '../ledger/entry.ts'
import { alarmKey, type RestoredAlarm } from './alarm-board.ts'
import type { AlarmStateName } from './alarm-state.ts'

/** Where each alarm stood when the program last ran: a restart neither loses nor clears one. */
export const restoreAlarms = (entries: readonly EntryOf<'alarm'>[]): Map<string, RestoredAlarm> => {
  const restored = new Map<string, RestoredAlarm>()
  for (const entry of entries) {
    const acknowledged = entry.data.to === 'acknowledged'
    restored.set(alarmKey(entry.bench, entry.data.alarm), {
      state: entry.data.to as AlarmStateName,
      since: entry.happened_at,
      batch: entry.batch,
      acknowledgedBy: acknowledged ? entry.who.name : null,
      acknowledgedAt: acknowledged ? entry.happened_at : null,
      shelvedUntil: entry.data.until ?? null,
    })
  }
  return restored
}
