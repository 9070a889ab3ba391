import type { AlarmRule } from './alarm.ts'
import type { SiteAlarmView } from './site-alarm-view.ts'

/** The logging program says every second that it is there. Engineering judgement: a restart of it takes less. */
export const LOGGING_GONE_S = 10

/** The logging program does not run, hangs, or cannot write: no reading is stored, and no alarm from a meter can come. */
export const loggingStopped: AlarmRule<SiteAlarmView> = {
  name: 'logging-stopped',
  delays: () => ({ onDelayMs: 0, offDelayMs: 2000 }),
  condition: ({ loggingSilentS }) => {
    if (loggingSilentS === 'unknown') return 'unknown'
    return loggingSilentS >= LOGGING_GONE_S ? 'active' : 'clear'
  },
  suppressed: () => false,
  priority: () => 'high',
  text: () => 'No reading is being stored: the logging program is silent',
  whatToDo: () =>
    'Every number from a meter is old. Go by the clock and your local rules. Start the program again; its log says why it ended. See that the disk has room.',
}
