import type { ActionInput } from './action.ts'
import type { BenchScript } from './script.ts'

type Fill = Extract<ActionInput, { do: 'fill' }>
type OzoneOn = Extract<ActionInput, { do: 'ozone-on' }>

/** One ordinary batch; times are lengths, in seconds. */
export interface BatchPlan {
  readonly startS: number
  readonly fill: Omit<Fill, 'do'>
  readonly ozone: Omit<OzoneOn, 'do'>
  /** From the fill to ozone-on. */
  readonly readyS: number
  readonly bubblingS: number
  /** Oxygen through the fluid; 0 = ozone and flow off together. */
  readonly purgeS: number
  /** From flow-off to discard. */
  readonly standingS: number
  /** Draw-ups, counted from flow-off. */
  readonly draws: readonly { readonly afterS: number; readonly ml: number }[]
}

/** What happens, and when, from filling the flask to throwing the rest away. */
export const batchEvents = (plan: BatchPlan): BenchScript['events'] => {
  const onS = plan.startS + plan.readyS
  const offS = onS + plan.bubblingS
  const standS = offS + plan.purgeS
  const stop: BenchScript['events'] =
    plan.purgeS > 0
      ? [
          { atS: offS, action: { do: 'ozone-off', purge: 'through-fluid' } },
          { atS: standS, action: { do: 'flow-off' } },
        ]
      : [{ atS: offS, action: { do: 'ozone-off', purge: 'none' } }]
  return [
    { atS: plan.startS, action: { do: 'fill', ...plan.fill } },
    { atS: onS, action: { do: 'ozone-on', ...plan.ozone } },
    ...stop,
    ...plan.draws.map(({ afterS, ml }) => ({ atS: standS + afterS, action: { do: 'draw' as const, ml } })),
    { atS: standS + plan.standingS, action: { do: 'discard' } },
  ]
}
