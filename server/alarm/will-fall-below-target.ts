import type { AlarmRule, AlarmView } from './alarm.ts'

const LIMITS = {
  lead_min: {
    value: 5,
    unit: 'min',
    least: 2,
    most: 120,
    words: 'warn this long before, where the batch does not say how long it is from draw-up to use',
    source: 'engineering judgement',
  },
} as const
/** Deadband: the early bound moves a little with every reading. */
const EASE = 1.25

/** Before the fluid is under the target: the early bound of the forecast comes within the time from draw-up to use. */
export const willFallBelowTarget: AlarmRule<AlarmView, typeof LIMITS> = {
  name: 'will-fall-below-target',
  limits: LIMITS,
  delays: () => ({ onDelayMs: 0, offDelayMs: 60_000 }),
  condition: ({ live: { forecast, at, batch } }, limits) => {
    if (forecast.state === 'below-target') return 'active'
    if (forecast.state !== 'counting' || forecast.early_bound_at === null) return 'unknown'
    const leftMin = (Date.parse(forecast.early_bound_at) - Date.parse(at)) / 60_000
    const lead = batch?.lead_time_min ?? limits.lead_min
    if (leftMin <= lead) return 'active'
    return leftMin > EASE * lead ? 'clear' : 'between'
  },
  suppressed: ({ live }) =>
    live.batch === null ||
    live.batch.target_mg_l === null ||
    live.phase.kind !== 'standing' ||
    live.batch.left_ml <= 0,
  priority: () => 'medium',
  text: ({ live }, limits) =>
    live.forecast.state === 'below-target'
      ? `The best estimate is below the ${live.batch?.target_mg_l ?? '—'} µg/mL you set`
      : `May fall below the ${live.batch?.target_mg_l ?? '—'} µg/mL you set within ${live.batch?.lead_time_min ?? limits.lead_min} min (early bound)`,
  whatToDo: () => 'Draw up now if it is to be used at once, or discard. Prepare the next batch in time.',
}
