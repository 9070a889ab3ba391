import type { AlarmSetting } from '../../server/alarm/alarm-setting.ts'
import { settingsOf } from '../../server/alarm/alarm-settings.ts'

/** A look at alarms at a steady time and a wall time, with what the clinic set. */
export const moment = (nowMs: number, nowIso: string, ...set: AlarmSetting[]) => ({
  nowMs,
  nowIso,
  settings: settingsOf(set.map((data) => ({ data }))),
})

export const acknowledging = (by: string, why: string | null = null) => ({
  handling: { kind: 'acknowledge' } as const,
  by: { name: by, how: 'typed' as const },
  why,
})
