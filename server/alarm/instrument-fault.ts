import type { AlarmRule } from './alarm.ts'

/** The meter or the thermometer sends, and says itself that it cannot measure, or sends what cannot be. */
export const instrumentFault: AlarmRule = {
  name: 'instrument-fault',
  delays: () => ({ onDelayMs: 10_000, offDelayMs: 10_000 }),
  condition: ({ live: { potency, temperature, spot_mode: spot } }) => {
    if (potency.state === 'fault' || temperature.state === 'fault') return 'active'
    // what does not speak cannot say that it is well again
    return potency.state === 'live' || potency.state === 'clipped' || spot ? 'clear' : 'unknown'
  },
  suppressed: ({ live }) => !live.metered,
  priority: ({ live }) => (live.batch === null ? 'low' : 'medium'),
  text: ({ live }) =>
    live.potency.state === 'fault'
      ? `The meter at ${live.name} reports a fault`
      : `The thermometer at ${live.name} reports a fault`,
  whatToDo: () =>
    'Check probe, cable and membrane. Instruments shows what it sends. No value is taken from it meanwhile.',
}
