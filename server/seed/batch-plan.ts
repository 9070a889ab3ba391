import type { BenchScript } from '../../ingest/bench-simulator/script.ts'
import type { EntryData, EntryKind } from '../ledger/entry.ts'
import { type Pour, simulatedAction } from './demo-bench.ts'

export type Settings = Omit<EntryData<'batch-opened'>, 'number'>

/** One invented batch: what is set, poured, and done when. Seconds count from the opening. */
export interface BatchPlan {
  readonly bench: string
  readonly settings: Settings
  readonly pour: Pour
  readonly seed: number
  readonly steps: readonly Step[]
}

export interface Step {
  readonly atS: number
  readonly kind: Extract<EntryKind, 'ozone-on' | 'ozone-off' | 'flow-off' | 'drawn-up' | 'discarded' | 'note'>
  readonly ml?: number
  readonly text?: string
}

export interface Timing {
  readonly readyS: number
  readonly bubblingS: number
  readonly purgeS: number
  readonly drawsAfterS: readonly { readonly afterS: number; readonly ml: number }[]
  readonly standingS: number
}

export const stepsOf = (timing: Timing): Step[] => {
  const off = timing.readyS + timing.bubblingS
  const flowOff = off + timing.purgeS
  return [
    { atS: timing.readyS, kind: 'ozone-on' },
    { atS: off, kind: 'ozone-off' },
    { atS: flowOff, kind: 'flow-off' },
    ...timing.drawsAfterS.map(({ afterS, ml }): Step => ({ atS: flowOff + afterS, kind: 'drawn-up', ml })),
    { atS: flowOff + timing.standingS, kind: 'discarded' },
  ]
}

/** Instruments of the invented benches: a probe with a 9 s response, noise with a 15 s memory. */
const SETTINGS: BenchScript['settings'] = {
  flask: { surfaceTransferMPerS: 2e-6, transferPerMin20: 0.65, warmingMin: 70 },
  room: { temperatureC: 21 },
  meter: {
    lagS: 9,
    fullScaleMgPerL: 50,
    whiteNoiseMgPerL: 0.05,
    slowNoiseMgPerL: 0.1,
    slowNoiseS: 15,
    zeroMgPerL: 0.05,
  },
}

/** The script that makes the simulated bench go through a plan, up to a moment. */
export const scriptOf = (
  plan: Pick<BatchPlan, 'settings' | 'pour' | 'seed'>,
  steps: readonly { atS: number; kind: string; ml?: number | undefined }[],
): BenchScript => {
  const settings = { ...plan.settings, number: '' }
  const done = [
    { atS: 0, kind: 'batch-opened' as string, ml: undefined as number | undefined },
    ...steps.map((s) => ({ ...s, ml: s.ml })),
  ]
  return {
    seed: plan.seed,
    settings: SETTINGS,
    events: done.flatMap(({ atS, kind, ml }) => {
      const action = simulatedAction(kind, settings, plan.pour, ml)
      return action ? [{ atS, action }] : []
    }),
  }
}
