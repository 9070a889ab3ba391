import type { AlarmRule, AlarmView } from '../../server/alarm/alarm.ts'
import type { AlarmBoard } from '../../server/alarm/alarm-board.ts'
import { ALARM_RULES } from '../../server/alarm/alarm-rules.ts'
import { limitsNow } from '../../server/alarm/alarm-settings.ts'
import type { LiveBench } from '../../server/wire.ts'
import type { moment } from './alarm-moment.ts'
import { atMinute } from './entries.ts'
import { liveBench } from './live-bench.ts'

export type Live = Partial<LiveBench>
export const BATCH = liveBench().batch
if (BATCH === null) throw new Error('the bench of the tests has a batch')
export const batch = (over: Partial<NonNullable<LiveBench['batch']>>): Live => ({
  batch: { ...BATCH, ...over },
})

export const view = (live: Live = {}, more: Partial<AlarmView> = {}): AlarmView => ({
  live: liveBench({ at: atMinute(20), ...live }),
  sdMgL: 0.2,
  probeTauS: 10,
  silentS: 0,
  intervalS: 1,
  calibrationDueAt: null,
  room: null,
  lastActAt: atMinute(20),
  ...more,
})

export const rule = (name: string): AlarmRule => {
  const found = ALARM_RULES.find((r) => r.name === name)
  if (!found) throw new Error(name)
  return found
}
export const WILL = 'will-fall-below-target'
/** Changes of one alarm: at the first look others are suppressed. */
export const look = (board: AlarmBoard, of: AlarmView, at: ReturnType<typeof moment>) =>
  board.look(of, at).filter((c) => c.rule.name === WILL)

export const is = (name: string, of: AlarmView): string => {
  const r = rule(name)
  return r.suppressed(of) ? 'suppressed' : r.condition(of, limitsNow(r.limits, undefined))
}
export const text = (name: string, of: AlarmView): string =>
  rule(name).text(of, limitsNow(rule(name).limits, undefined))

export const counting = (earlyMinute: number): Live => ({
  forecast: {
    ...liveBench().forecast,
    state: 'counting',
    early_bound_at: atMinute(earlyMinute),
    reaches_target_at: atMinute(earlyMinute + 4),
  },
})
export const bubbling = (over: Live = {}): Live => ({
  phase: { kind: 'bubbling', since: atMinute(12) },
  ...over,
})
