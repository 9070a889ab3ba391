import type { AlarmRule } from './alarm.ts'
import type { SendingSeen, SiteAlarmView } from './site-alarm-view.ts'

/** Engineering judgement: longer than a restart of the other place, shorter than anybody would miss its readings. */
const LONGEST_WAIT_S = 300
/** Deadband on the way back. */
const SHORT_WAIT_S = 120

/** Something does not get to the other place. None of it is lost: it waits in the local file. */
const backlog = (
  name: 'forwarding-backlog' | 'record-backlog',
  text: string,
  pick: (view: SiteAlarmView) => SendingSeen | 'none' | 'unknown',
): AlarmRule<SiteAlarmView> => ({
  name,
  delays: () => ({ onDelayMs: 30_000, offDelayMs: 10_000 }),
  condition: (view) => {
    const sending = pick(view)
    if (typeof sending === 'string') return 'unknown'
    const waitedS = sending.oldestWaitingS ?? 0
    if (waitedS < SHORT_WAIT_S) return 'clear'
    // years of history on their way to a new place are no fault; neither is an hour's backlog that shrinks
    return waitedS < LONGEST_WAIT_S || sending.isCatchingUp ? 'between' : 'active'
  },
  suppressed: (view) => pick(view) === 'none',
  priority: () => 'low',
  text: () => text,
  whatToDo: (view) => `Nothing is lost, and the screens do not need it. ${remedyOf(pick(view))}`,
})

export const forwardingBacklog = backlog(
  'forwarding-backlog',
  'Readings do not get to InfluxDB; they wait on this machine',
  ({ forwarding }) => forwarding,
)

export const recordBacklog = backlog(
  'record-backlog',
  'Entries of the record do not get to InfluxDB; they wait on this machine',
  ({ mirror }) => mirror,
)

const remedyOf = (sending: SendingSeen | 'none' | 'unknown'): string => {
  if (typeof sending !== 'string' && sending.notLetIn)
    return 'InfluxDB does not let the program in: mend user, password, token or database name. Program shows its words.'
  return typeof sending !== 'string' && !sending.alive
    ? 'The part of the program that sends them on does not run: its log says why; then start the program again.'
    : 'See that InfluxDB runs, can be reached and has room on its disk. Program shows what it answers.'
}
