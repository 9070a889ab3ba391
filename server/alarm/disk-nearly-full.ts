import type { AlarmRule } from './alarm.ts'
import type { DiskSeen, SiteAlarmView } from './site-alarm-view.ts'

/** Common practice, no source: two weeks are enough to get a disk or to choose how long raw readings are kept. */
const NEARLY_FULL_DAYS = 14
const LITTLE_SHARE = 0.05
const LITTLE_BYTES = 1e9
/** Hours are left, whatever the rate. */
const NEARLY_NOTHING_BYTES = 1e8
/** Deadband: this much more room or time before it counts as mended. */
const EASE = 1.5

/** @param ease how much more than the limits is asked for, 1: the limits themselves */
export const isNearlyFull = ({ freeBytes, totalBytes, daysUntilFull }: DiskSeen, ease = 1): boolean =>
  (daysUntilFull !== null && daysUntilFull < ease * NEARLY_FULL_DAYS) ||
  (freeBytes < ease * LITTLE_BYTES && freeBytes < ease * LITTLE_SHARE * totalBytes)

/** On a full disk readings are no longer stored; the record of what people do has a reserve. */
export const diskNearlyFull: AlarmRule<SiteAlarmView> = {
  name: 'disk-nearly-full',
  delays: () => ({ onDelayMs: 30_000, offDelayMs: 30_000 }),
  condition: ({ disk }) => {
    if (disk === 'unknown') return 'unknown'
    if (isNearlyFull(disk)) return 'active'
    return isNearlyFull(disk, EASE) ? 'between' : 'clear'
  },
  suppressed: () => false,
  priority: ({ disk }) => (disk !== 'unknown' && isAlmostOver(disk) ? 'high' : 'medium'),
  text: ({ disk }) =>
    disk !== 'unknown' && isAlmostOver(disk)
      ? 'The disk is full within a day: then no reading can be stored'
      : 'The disk that the readings are on is nearly full',
  whatToDo: () =>
    'Make room on it, or let old raw readings be removed (keep_raw_days, see README). Program shows how much is left and for how long.',
}

const isAlmostOver = ({ freeBytes, daysUntilFull }: DiskSeen): boolean =>
  freeBytes < NEARLY_NOTHING_BYTES || (daysUntilFull !== null && daysUntilFull < 1)
