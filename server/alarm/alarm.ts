import type { LiveBench } from '../wire.ts'
import type { AlarmName } from './alarm-names.ts'
import type { AlarmDelays, Condition } from './alarm-state.ts'
import type { Limits, LimitsNow } from './limits.ts'
import type { RoomOzoneSeen } from './room-ozone-seen.ts'

export type { AlarmName } from './alarm-names.ts'
export type Priority = 'high' | 'medium' | 'low'

/** What an alarm looks at: the bench as the screen sees it, and what only the server knows. */
export interface AlarmView {
  readonly live: Omit<LiveBench, 'alarms' | 'next_step'>
  /** Standard deviation of the readings about the fit, mg/L; null while unknown. */
  readonly sdMgL: number | null
  readonly probeTauS: number | null
  /** Seconds without a reading from the instrument wired to this bench; null when none is wired. */
  readonly silentS: number | null
  readonly intervalS: number
  /** When the calibration of the bench's meter in force is to be repeated; null without one or without a date. */
  readonly calibrationDueAt: string | null
  /** Null where no monitor of the room's air is wired to this bench. */
  readonly room: RoomOzoneSeen | null
  /** When a person last entered anything of the batch; null without a batch. */
  readonly lastActAt: string | null
}

/** One alarm, of what it looks at: a bench, or the whole site (`SiteAlarmView`). */
export interface AlarmRule<View = AlarmView, L extends Limits = Limits> {
  readonly name: AlarmName
  /** Numbers the clinic may change. */
  readonly limits?: L
  /** May not be shelved nor taken out of service. */
  readonly neverSilenced?: true
  readonly delays: (view: View) => AlarmDelays
  readonly condition: (view: View, limits: LimitsNow<L>) => Condition
  readonly suppressed: (view: View) => boolean
  readonly priority: (view: View) => Priority
  readonly text: (view: View, limits: LimitsNow<L>) => string
  readonly whatToDo: (view: View) => string
}
