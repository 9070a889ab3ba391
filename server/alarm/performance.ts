import type { EntryOf } from '../ledger/entry.ts'

const DAY_MS = 86_400_000
const TEN_MINUTES_MS = 600_000
/** Three times within a minute: IEC 62682 and ANSI/ISA-18.2 call that chattering (definition from memory). */
const CHATTERS_TIMES = 3
const CHATTERS_WITHIN_MS = 60_000
/** There for longer than a day: stale, by the same standards. */
const STALE_MS = DAY_MS
/** More than ten in ten minutes for one person is a flood. */
const FLOOD = 10

export interface AlarmPerformance {
  readonly days: number
  readonly raised: number
  readonly per_day: number
  /** Most in any ten minutes; over ten is a flood. */
  readonly most_in_ten_minutes: number
  readonly floods: number
  /** Median time from raised to acknowledged, s; null when none was. */
  readonly acknowledged_after_s: number | null
  readonly chattering: readonly string[]
  readonly stale: readonly string[]
  /** Alarms by how often they were raised, most often first. */
  readonly most_often: readonly { readonly key: string; readonly raised: number }[]
  readonly by_priority: { readonly high: number; readonly medium: number; readonly low: number }
}

type Change = Pick<EntryOf<'alarm'>, 'bench' | 'happened_at' | 'data'>

/** The figures the standard asks for, over a period that ends now, from the changes on record in their order. */
export const alarmPerformance = (
  changes: readonly Change[],
  nowMs: number,
  days: number,
): AlarmPerformance => {
  const fromMs = nowMs - days * DAY_MS
  const within = changes.filter((c) => Date.parse(c.happened_at) >= fromMs)
  const raised = within.filter((c) => c.data.to === 'unacknowledged')
  const times = raised.map((c) => Date.parse(c.happened_at))
  const perKey = countBy(raised.map(keyOf))
  return {
    days,
    raised: raised.length,
    per_day: raised.length / days,
    most_in_ten_minutes: mostWithin(times, TEN_MINUTES_MS),
    floods: floodsIn(times),
    acknowledged_after_s: median(reactionTimes(within)),
    chattering: [...perKey.keys()].filter(
      (key) =>
        mostWithin(
          raised.filter((c) => keyOf(c) === key).map((c) => Date.parse(c.happened_at)),
          CHATTERS_WITHIN_MS,
        ) >= CHATTERS_TIMES,
    ),
    stale: staleNow(changes, nowMs),
    most_often: [...perKey].map(([key, n]) => ({ key, raised: n })).sort((a, b) => b.raised - a.raised),
    by_priority: {
      high: raised.filter((c) => c.data.priority === 'high').length,
      medium: raised.filter((c) => c.data.priority === 'medium').length,
      low: raised.filter((c) => c.data.priority === 'low').length,
    },
  }
}

const keyOf = (change: Change): string => `${change.bench ?? 'site'}:${change.data.alarm}`

const countBy = (keys: readonly string[]): Map<string, number> => {
  const counts = new Map<string, number>()
  for (const key of keys) counts.set(key, (counts.get(key) ?? 0) + 1)
  return counts
}

/** Times in order. */
const mostWithin = (times: readonly number[], spanMs: number): number => {
  let first = 0
  let most = 0
  times.forEach((time, i) => {
    while (time - (times[first] ?? time) >= spanMs) first++
    most = Math.max(most, i - first + 1)
  })
  return most
}

/** Stretches of ten minutes, one after another, with more than ten. */
const floodsIn = (times: readonly number[]): number =>
  [...countBy(times.map((time) => String(Math.floor(time / TEN_MINUTES_MS)))).values()].filter(
    (n) => n > FLOOD,
  ).length

const reactionTimes = (changes: readonly Change[]): number[] => {
  const open = new Map<string, number>()
  return changes.flatMap((change) => {
    const key = keyOf(change)
    const atMs = Date.parse(change.happened_at)
    if (change.data.to === 'unacknowledged' && !open.has(key)) open.set(key, atMs)
    const isSeen = change.data.to === 'acknowledged' || change.data.from === 'returned-unacknowledged'
    const since = open.get(key)
    if (!isSeen || since === undefined || change.data.to === 'unacknowledged') return []
    open.delete(key)
    return [(atMs - since) / 1000]
  })
}

const median = (values: readonly number[]): number | null => {
  const sorted = [...values].sort((a, b) => a - b)
  const middle = sorted.length >> 1
  if (sorted.length === 0) return null
  return sorted.length % 2 === 1
    ? (sorted[middle] ?? null)
    : ((sorted[middle - 1] ?? 0) + (sorted[middle] ?? 0)) / 2
}

const STANDING = new Set(['unacknowledged', 'acknowledged'])

const staleNow = (changes: readonly Change[], nowMs: number): string[] => {
  const newest = new Map(changes.map((change) => [keyOf(change), change]))
  return [...newest]
    .filter(([, change]) => STANDING.has(change.data.to) && nowMs - Date.parse(change.happened_at) > STALE_MS)
    .map(([key]) => key)
}
