import type { AlarmRule, AlarmView } from './alarm.ts'

const OFF_DELAY_MS = 30_000
const LEAST_ON_DELAY_MS = 10_000
/** When the probe's response time is not known. */
const ON_DELAY_UNKNOWN_TAU_MS = 30_000

/** The measured value is under the target that was set for this batch. */
export const potencyBelowTarget: AlarmRule = {
  name: 'potency-below-target',

  delays: ({ probeTauS }) => ({
    onDelayMs: probeTauS === null ? ON_DELAY_UNKNOWN_TAU_MS : Math.max(3000 * probeTauS, LEAST_ON_DELAY_MS),
    offDelayMs: OFF_DELAY_MS,
  }),

  condition: (view) => {
    const { potency, batch } = view.live
    const target = batch?.target_mg_l ?? null
    if (target === null || potency.value_mg_l === null || potency.state !== 'live') return 'unknown'
    if (potency.value_mg_l < target) return 'active'
    return potency.value_mg_l >= target + deadband(view, target) ? 'clear' : 'between'
  },

  /** Until the first flow-off, while gas flows, when nothing is left, after discard, or without a target. */
  suppressed: ({ live }) =>
    live.batch === null ||
    live.batch.target_mg_l === null ||
    live.phase.kind !== 'standing' ||
    live.batch.left_ml <= 0,

  priority: () => 'high',
  text: ({ live }) =>
    `${live.decision === 'below' ? 'Measured dissolved ozone is' : 'The best estimate of dissolved ozone is'} below the ${live.batch?.target_mg_l ?? '—'} µg/mL you set${live.potency.calibration ? '' : ' (meter not calibrated)'}`,
  whatToDo: () =>
    'Do not draw up from this flask as if it were at target. Discard it and prepare a new batch, as your local rules say.',
}

/** Extra way back past the target before the alarm clears: max(2 sd, 2 % of target, 0.3 mg/L). */
const deadband = ({ sdMgL }: AlarmView, target: number): number =>
  Math.max(2 * (sdMgL ?? 0), 0.02 * target, 0.3)
