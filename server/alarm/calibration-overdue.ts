import type { AlarmRule } from './alarm.ts'

/** The day on which the meter's calibration was to be repeated has passed. It counts on; what it says is less sure. */
export const calibrationOverdue: AlarmRule = {
  name: 'calibration-overdue',
  delays: () => ({ onDelayMs: 0, offDelayMs: 0 }),
  condition: ({ calibrationDueAt, live }) => {
    if (calibrationDueAt === null) return 'unknown'
    return Date.parse(live.at) > Date.parse(calibrationDueAt) ? 'active' : 'clear'
  },
  /** Without a due date, or without a calibration, nothing can be overdue; "uncalibrated" is said beside the value. */
  suppressed: ({ calibrationDueAt }) => calibrationDueAt === null,
  priority: () => 'low',
  text: ({ live, calibrationDueAt }) =>
    `The calibration of the meter at ${live.name} was due ${calibrationDueAt?.slice(0, 10) ?? ''}`,
  whatToDo: () =>
    'Calibrate the meter against a reference and enter it under Instruments. Until then its values rest on the old calibration.',
}
