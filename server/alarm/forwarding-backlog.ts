import type { AlarmRule } from './alarm.ts'
import type { SiteAlarmView } from './site-alarm-view.ts'

/** Engineering judgement: longer than a restart of the other place, shorter than anybody would miss its readings. */
const LONGEST_WAIT_S = 900
/** Deadband on the way back. */
const SHORT_WAIT_S = 300

/** Readings do not get to the other place. None is lost: they wait in the local file. */
export const forwardingBacklog: AlarmRule<SiteAlarmView> = {
  name: 'forwarding-backlog',
  delays: () => ({ onDelayMs: 30_000, offDelayMs: 10_000 }),
  condition: ({ forwarding }) => {
    if (typeof forwarding === 'string') return 'unknown'
    const waitedS = forwarding.oldestWaitingS ?? 0
    if (waitedS < SHORT_WAIT_S) return 'clear'
    // years of history on their way to a new place are no fault; neither is an hour's backlog that shrinks
    return waitedS < LONGEST_WAIT_S || forwarding.isCatchingUp ? 'between' : 'active'
  },
  suppressed: ({ forwarding }) => forwarding === 'none',
  priority: () => 'low',
  text: () => 'Readings do not get to InfluxDB; they wait on this machine',
  whatToDo: ({ forwarding }) => `Nothing is lost, and the screens do not need it. ${remedyOf(forwarding)}`,
}

const remedyOf = (forwarding: SiteAlarmView['forwarding']): string => {
  if (typeof forwarding !== 'string' && forwarding.notLetIn)
    return 'InfluxDB does not let the program in: mend user, password, token or database name. Program shows its words.'
  return typeof forwarding !== 'string' && !forwarding.alive
    ? 'The part of the program that sends readings on does not run: its log says why; then start the program again.'
    : 'See that InfluxDB runs, can be reached and has room on its disk. Program shows what it answers.'
}
