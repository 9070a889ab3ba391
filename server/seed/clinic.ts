import type { BatchPlan, Settings, Timing } from './batch-plan.ts'
import { stepsOf } from './batch-plan.ts'
import type { Pour } from './demo-bench.ts'

/** The invented clinic of the demonstration. No real person, place or product; every number is made up. */

export const DEMO_OPERATOR = 'Demo operator'
export const PEOPLE = ['Ines', 'Tomas', 'Ruth', 'Amadou'] as const

export const LOTS: Readonly<Record<'saline' | 'distilled' | 'filtered', readonly string[]>> = {
  saline: ['S-1041', 'S-1057', 'S-1063'],
  distilled: ['D-220', 'D-231'],
  filtered: ['tap filter, week 1', 'tap filter, week 6'],
}

const common = { measuring_place: 'companion-flask', lead_time_min: 5, age_limit_min: 60 } as const

/** Bench A: cold saline, oxygen through the fluid for half a minute after ozone-off. */
export const salineSettings: Settings = {
  ...common,
  fluid: 'saline',
  lot: 'S-1063',
  volume_ml: 250,
  target_mg_l: 15,
  gas: { ug_per_ml: 60, reference: 'normal-0c-101kpa' },
  flow_ml_per_min: 500,
  prep_min: 7,
  purge: 'through-the-fluid',
}

/** Bench B: distilled water at room temperature, tube lifted clear before the lines are purged. */
export const distilledSettings: Settings = {
  ...common,
  fluid: 'distilled',
  lot: 'D-231',
  volume_ml: 200,
  target_mg_l: 12,
  gas: { ug_per_ml: 70, reference: 'normal-0c-101kpa' },
  flow_ml_per_min: 400,
  prep_min: 8,
  purge: 'tube-lifted-clear',
}

/** Bench C has no meter: values are typed in from a test kit. */
export const filteredSettings: Settings = {
  ...common,
  fluid: 'filtered',
  lot: 'tap filter, week 6',
  volume_ml: 500,
  target_mg_l: 8,
  gas: { ug_per_ml: 60, reference: 'normal-0c-101kpa' },
  flow_ml_per_min: 500,
  prep_min: 12,
  measuring_place: 'aliquot',
  purge: 'none',
}

export const salinePour: Pour = { temperatureC: 7, lotFactor: 1 }
export const distilledPour: Pour = { temperatureC: 20, lotFactor: 0.6 }

export const salineTiming: Timing = {
  readyS: 60,
  bubblingS: 420,
  purgeS: 30,
  drawsAfterS: [
    { afterS: 180, ml: 20 },
    { afterS: 420, ml: 20 },
  ],
  standingS: 1500,
}

export const distilledTiming: Timing = {
  readyS: 45,
  bubblingS: 480,
  purgeS: 30,
  drawsAfterS: [{ afterS: 240, ml: 50 }],
  standingS: 2400,
}

export const livePlans = (seedBase: number): Readonly<Record<'A' | 'B', BatchPlan>> => ({
  A: { bench: 'A', settings: salineSettings, pour: salinePour, seed: seedBase, steps: stepsOf(salineTiming) },
  B: {
    bench: 'B',
    settings: distilledSettings,
    pour: distilledPour,
    seed: seedBase + 1,
    steps: stepsOf(distilledTiming),
  },
})
