import type { AlarmRule } from './alarm.ts'

const LEAST_SILENCE_S = 5
const SILENT_INTERVALS = 5

/** No reading for this long counts as silence: five intervals, at least 5 s. */
export const silenceLimitS = (intervalS: number): number =>
  Math.max(LEAST_SILENCE_S, SILENT_INTERVALS * intervalS)

/** The meter wired to this bench sends nothing. The threshold is the delay: no further one is added. */
export const instrumentSilent: AlarmRule = {
  name: 'instrument-silent',
  delays: () => ({ onDelayMs: 0, offDelayMs: 2000 }),
  condition: ({ silentS, intervalS }) => {
    if (silentS === null) return 'unknown'
    return silentS >= silenceLimitS(intervalS) ? 'active' : 'clear'
  },
  /** With no instrument wired there is nothing that could be silent. */
  suppressed: ({ silentS }) => silentS === null,
  priority: ({ live }) => (live.batch === null ? 'low' : 'medium'),
  text: ({ live }) => `No reading arrives from the meter at ${live.name}`,
  whatToDo: () =>
    'The number shown is old. Check the meter is on and its cable is in; the program reconnects by itself.',
}
