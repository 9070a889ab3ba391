import type { LiveBench } from '../wire.ts'
import type { AlarmDelays, Condition } from './alarm-state.ts'

export type AlarmName =
  | 'potency-below-target'
  | 'instrument-silent'
  | 'calibration-overdue'
  | 'forwarding-backlog'
  | 'readings-refused'
  | 'record-backlog'
  | 'record-refused'
  | 'disk-nearly-full'

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
}

/** One alarm, of what it looks at: a bench, or the whole site (`SiteAlarmView`). */
export interface AlarmRule<View = AlarmView> {
  readonly name: AlarmName
  readonly delays: (view: View) => AlarmDelays
  readonly condition: (view: View) => Condition
  readonly suppressed: (view: View) => boolean
  readonly priority: (view: View) => 'high' | 'medium' | 'low'
  readonly text: (view: View) => string
  readonly whatToDo: (view: View) => string
}
