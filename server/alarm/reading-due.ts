import type { AlarmRule, AlarmView } from './alarm.ts'

const LIMITS = {
  standing_min: {
    value: 10,
    unit: 'min',
    least: 1,
    most: 120,
    words: 'longest time between readings by hand while it stands',
    source: 'engineering judgement',
  },
  bubbling_min: {
    value: 5,
    unit: 'min',
    least: 1,
    most: 120,
    words: 'longest time between readings by hand while it bubbles',
    source: 'engineering judgement',
  },
} as const

/** Single readings, typed in or taken with a dipped probe: without another reading by hand the forecast grows wider and wider. */
export const readingDue: AlarmRule<AlarmView, typeof LIMITS> = {
  name: 'reading-due',
  limits: LIMITS,
  delays: () => ({ onDelayMs: 0, offDelayMs: 0 }),
  condition: ({ live }, limits) => {
    const since = newestOf(live.phase.since, live.potency.at)
    if (since === null) return 'unknown'
    const limit = live.phase.kind === 'standing' ? limits.standing_min : limits.bubbling_min
    return Date.parse(live.at) - since >= 60_000 * limit ? 'active' : 'clear'
  },
  /** Only where somebody types readings in at all: a clinic without any meter or kit is not nagged. */
  suppressed: ({ live }) =>
    (live.metered && !live.spot_mode) ||
    live.potency.at === null ||
    (live.phase.kind !== 'standing' && live.phase.kind !== 'bubbling') ||
    (live.batch?.left_ml ?? 0) <= 0,
  priority: () => 'low',
  text: ({ live }) => `Another ${live.spot_mode ? 'spot reading' : 'reading by hand'} is due at ${live.name}`,
  whatToDo: ({ live }) =>
    `${live.spot_mode ? 'Dip the probe and take a spot reading.' : 'Take a reading and type it in.'} Until then only a widening estimate can be shown.`,
}

const newestOf = (...times: readonly (string | null)[]): number | null => {
  const known = times.flatMap((time) => (time === null ? [] : [Date.parse(time)]))
  return known.length === 0 ? null : Math.max(...known)
}
