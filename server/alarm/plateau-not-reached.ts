import type { AlarmRule, AlarmView } from './alarm.ts'

const LIMITS = {
  part_percent: {
    value: 95,
    unit: '%',
    least: 50,
    most: 99.5,
    words: 'of what it levels off at, to be reached at the planned prep time',
    source: 'common practice, no source: t95',
  },
} as const
const DEADBAND_PERCENT = 1

/** The planned prep time is over, and the fluid has not reached what it levels off at, or cannot reach the target. */
export const plateauNotReached: AlarmRule<AlarmView, typeof LIMITS> = {
  name: 'plateau-not-reached',
  limits: LIMITS,
  delays: () => ({ onDelayMs: 10_000, offDelayMs: 10_000 }),
  condition: ({ live }, limits) => {
    const planned = live.ozone_off_at_planned
    if (planned === null) return 'unknown'
    if (Date.parse(live.at) < Date.parse(planned)) return 'clear'
    const percent = reachedPercent(live)
    if (percent === null) return 'unknown'
    if (percent < limits.part_percent - DEADBAND_PERCENT) return 'active'
    return percent >= limits.part_percent ? 'clear' : 'between'
  },
  suppressed: ({ live }) => live.phase.kind !== 'bubbling' || live.ozone_off_at_planned === null,
  priority: () => 'low',
  text: ({ live }) =>
    `The planned prep time is over at ${Math.round(reachedPercent(live) ?? 0)} % of what it levels off at`,
  whatToDo: () =>
    'Compare gas value, flow and fluid temperature with the plan. Whether to bubble longer, your local rules say.',
}

const reachedPercent = ({ fits }: AlarmView['live']): number | null => {
  const part = fits.findLast((fit) => fit.kind === 'rise')?.fraction_of_plateau ?? null
  return part === null ? null : 100 * part
}
