import type { AlarmRule } from './alarm.ts'
import type { SiteAlarmView } from './site-alarm-view.ts'

const DAY_S = 86_400

/**
 * The other place will not take some readings. Returns to normal a day after the last one: what is older than its
 * retention can never be put right, and an alarm that stands for ever is not looked at. The list on screen stays.
 */
export const readingsRefused: AlarmRule<SiteAlarmView> = {
  name: 'readings-refused',
  delays: () => ({ onDelayMs: 0, offDelayMs: 0 }),
  condition: ({ forwarding }) => {
    if (typeof forwarding === 'string') return 'unknown'
    return forwarding.refusedAgoS !== null && forwarding.refusedAgoS < DAY_S ? 'active' : 'clear'
  },
  suppressed: ({ forwarding }) => forwarding === 'none',
  priority: () => 'low',
  text: () => 'InfluxDB refused readings within the last 24 hours',
  whatToDo: () =>
    'They are stored on this machine; the others go on. Program lists them with InfluxDB’s own words: mend what it says, then run "npx spargewatch store copy".',
}
