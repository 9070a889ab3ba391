import type { AlarmRule, AlarmView } from './alarm.ts'

const LIMITS = {
  after_s: {
    value: 5,
    unit: 's',
    least: 0,
    most: 600,
    words: 'after the planned end, while ozone is still on',
    source: 'engineering judgement: a hand on its way to the valve needs no alarm',
  },
} as const

/** The timer: the planned prep time is over and ozone is still on. Needs no meter. */
export const prepTimeOver: AlarmRule<AlarmView, typeof LIMITS> = {
  name: 'prep-time-over',
  limits: LIMITS,
  delays: () => ({ onDelayMs: 0, offDelayMs: 0 }),
  condition: ({ live: { at, ozone_off_at_planned: planned } }, limits) => {
    if (planned === null) return 'unknown'
    return Date.parse(at) >= Date.parse(planned) + 1000 * limits.after_s ? 'active' : 'clear'
  },
  suppressed: ({ live }) => live.phase.kind !== 'bubbling' || live.ozone_off_at_planned === null,
  priority: () => 'medium',
  text: ({ live }) => `The planned prep time is over at ${live.name}, ozone is still on`,
  whatToDo: () => 'Ozone off now, unless your local rules have you bubble on.',
}
