import type { AlarmRule, AlarmView } from './alarm.ts'

const LIMITS = {
  off_by_c: {
    value: 2,
    unit: '°C',
    least: 0.5,
    most: 15,
    words: 'the fluid may be off the planned temperature by this much',
    source: 'engineering judgement: 2 °C change plateau and half-life by about a tenth',
  },
} as const
const DEADBAND_C = 0.3

/** The fluid is warmer or colder than planned: it holds and keeps another amount than the plan says. */
export const temperatureOffPlan: AlarmRule<AlarmView, typeof LIMITS> = {
  name: 'temperature-off-plan',
  limits: LIMITS,
  delays: () => ({ onDelayMs: 30_000, offDelayMs: 30_000 }),
  condition: ({ live }, limits) => {
    const planned = live.batch?.temperature_c ?? null
    const { state, celsius } = live.temperature
    if (planned === null || state !== 'live' || celsius === null) return 'unknown'
    const off = Math.abs(celsius - planned)
    if (off > limits.off_by_c) return 'active'
    return off <= limits.off_by_c - DEADBAND_C ? 'clear' : 'between'
  },
  /** Standing in a warm room the fluid warms: the forecast counts with that, and nothing can be planned about it. */
  suppressed: ({ live }) =>
    (live.batch?.temperature_c ?? null) === null ||
    (live.phase.kind !== 'set-up' && live.phase.kind !== 'bubbling'),
  priority: () => 'low',
  text: ({ live }) =>
    `The fluid is ${live.temperature.celsius?.toFixed(1) ?? '—'} °C, planned were ${live.batch?.temperature_c ?? '—'} °C`,
  whatToDo: () =>
    'Bring the fluid to the planned temperature before ozone on, or expect another plateau and half-life than planned.',
}
