import type { AlarmRule, AlarmView } from './alarm.ts'

/** Past the age the clinic allows, counted from the opening of the batch. */
export const batchPastAgeLimit: AlarmRule = {
  name: 'batch-past-age-limit',
  delays: () => ({ onDelayMs: 0, offDelayMs: 0 }),
  condition: ({ live: { batch, at } }) => {
    if (batch === null || batch.age_limit_min === null) return 'unknown'
    return Date.parse(at) - Date.parse(batch.opened_at) > 60_000 * batch.age_limit_min ? 'active' : 'clear'
  },
  suppressed: ({ live: { batch } }) => batch === null || batch.age_limit_min === null,
  priority: () => 'medium',
  text: ({ live: { batch } }) => `The batch is older than the ${batch?.age_limit_min ?? '—'} min set for it`,
  whatToDo: () => 'Do not draw up from it. Discard it under extraction, away from people and animals.',
}

const LEFT_ALONE = {
  bubbling_min: {
    value: 10,
    unit: 'min',
    least: 1,
    most: 240,
    words: 'bubbling on after the planned end, or without a plan, and nobody enters anything',
    source: 'engineering judgement',
  },
  standing_min: {
    value: 90,
    unit: 'min',
    least: 10,
    most: 1440,
    words: 'standing, and nobody enters anything',
    source: 'engineering judgement',
  },
} as const

/** Ozone bubbles, or a flask stands open, and nobody has entered anything for long. */
export const batchLeftAlone: AlarmRule<AlarmView, typeof LEFT_ALONE> = {
  name: 'batch-left-alone',
  limits: LEFT_ALONE,
  delays: () => ({ onDelayMs: 0, offDelayMs: 0 }),
  condition: ({ live, lastActAt }, limits) => {
    if (lastActAt === null) return 'unknown'
    const planned = live.ozone_off_at_planned
    const bubbling = live.phase.kind === 'bubbling'
    const from = Math.max(Date.parse(lastActAt), bubbling && planned ? Date.parse(planned) : 0)
    const limit = bubbling ? limits.bubbling_min : limits.standing_min
    return Date.parse(live.at) - from >= 60_000 * limit ? 'active' : 'clear'
  },
  suppressed: ({ live }) =>
    live.batch === null || !['bubbling', 'purge', 'standing'].includes(live.phase.kind),
  priority: ({ live }) => (live.phase.kind === 'bubbling' ? 'medium' : 'low'),
  text: ({ live }) =>
    live.phase.kind === 'bubbling'
      ? `Ozone is on at ${live.name} and nobody has entered anything for long`
      : `A batch stands at ${live.name} and nobody has entered anything for long`,
  whatToDo: ({ live }) =>
    live.phase.kind === 'bubbling'
      ? 'Somebody must stay with bubbling ozone. Go and see; ozone off if it is not needed.'
      : 'Go and see. Draw up, or discard it under extraction and enter that.',
}
