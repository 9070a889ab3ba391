import type { AlarmView } from '../server/wire.ts'

/** Alarms that were not waiting before and are now. */
export const newlyWaiting = (
  before: ReadonlySet<string>,
  alarms: readonly AlarmView[],
): readonly AlarmView[] =>
  alarms.filter((alarm) => alarm.state === 'unacknowledged' && !before.has(alarm.key))
