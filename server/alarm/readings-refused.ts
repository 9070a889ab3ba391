import type { AlarmRule } from './alarm.ts'
import type { SendingSeen, SiteAlarmView } from './site-alarm-view.ts'

const DAY_S = 86_400

/**
 * The other place will not take some of what is sent. Returns to normal a day after the last one: what is older than its
 * retention can never be put right, and an alarm that stands for ever is not looked at. The list on screen stays.
 */
const refused = (
  name: 'readings-refused' | 'record-refused',
  text: string,
  whatToDo: string,
  pick: (view: SiteAlarmView) => SendingSeen | 'none' | 'unknown',
): AlarmRule<SiteAlarmView> => ({
  name,
  delays: () => ({ onDelayMs: 0, offDelayMs: 0 }),
  condition: (view) => {
    const sending = pick(view)
    if (typeof sending === 'string') return 'unknown'
    return sending.refusedAgoS !== null && sending.refusedAgoS < DAY_S ? 'active' : 'clear'
  },
  suppressed: (view) => pick(view) === 'none',
  priority: () => 'low',
  text: () => text,
  whatToDo: () => whatToDo,
})

export const readingsRefused = refused(
  'readings-refused',
  'InfluxDB refused readings within the last 24 hours',
  'They are stored on this machine; the others go on. Program lists them with InfluxDB’s own words: mend what it says, then run "npx spargewatch store copy".',
  ({ forwarding }) => forwarding,
)

export const recordRefused = refused(
  'record-refused',
  'InfluxDB refused entries of the record within the last 24 hours',
  'They are in the record on this machine; the mirror lacks them. Program shows InfluxDB’s own words. A mirror needs a place that keeps everything for ever: see README.',
  ({ mirror }) => mirror,
)
