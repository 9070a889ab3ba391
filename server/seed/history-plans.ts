import { type BatchPlan, type Settings, stepsOf } from './batch-plan.ts'
import { distilledSettings, LOTS, PEOPLE, salineSettings } from './clinic.ts'
import { PREP_TIME_TRIAL } from './trials.ts'

export interface PastBatch {
  readonly plan: BatchPlan
  /** Days before today, and the minute of that day (UTC). */
  readonly daysAgo: number
  readonly minuteOfDay: number
  readonly who: string
}

const BATCHES_OF: readonly (readonly ['saline' | 'distilled' | 'filtered', number])[] = [
  ['saline', 12],
  ['distilled', 9],
  ['filtered', 7],
]

/** A small generator of its own (a linear congruential one): the same history every time. */
const createDice = (seed: number) => {
  let state = seed
  return () => {
    state = (state * 1_664_525 + 1_013_904_223) % 4_294_967_296
    return state / 4_294_967_296
  }
}

/** Four weeks of invented batches: three fluids, four operators, seven lots, with the scatter of ordinary days. */
export const pastBatches = (): PastBatch[] => {
  const dice = createDice(20_261)
  const past = BATCHES_OF.flatMap(([fluid, count]) =>
    Array.from({ length: count }, (_, i) => pastBatch(fluid, i, count, dice)),
  )
  return past.sort((a, b) => b.daysAgo - a.daysAgo || a.minuteOfDay - b.minuteOfDay)
}

const pastBatch = (
  fluid: 'saline' | 'distilled' | 'filtered',
  index: number,
  count: number,
  dice: () => number,
): PastBatch => {
  const around = (centre: number, spread: number) => centre * (1 + spread * (2 * dice() - 1))
  const lots = LOTS[fluid]
  const lotIndex = Math.min(lots.length - 1, Math.floor((index * lots.length) / count))
  const base = fluid === 'saline' ? salineSettings : distilledSettings
  const settings: Settings = {
    ...base,
    fluid,
    lot: lots[lotIndex] ?? lots[0] ?? 'none',
    ...(fluid === 'filtered' ? { target_mg_l: 8, age_limit_min: 30 } : {}),
    ...(fluid === 'saline' ? { trial: PREP_TIME_TRIAL } : {}),
  }
  const bubblingS = Math.round(around((settings.prep_min ?? 7) * 60, 0.05))
  const plan: BatchPlan = {
    bench: fluid === 'saline' ? 'A' : 'B',
    settings,
    pour: {
      temperatureC: around(fluid === 'saline' ? 7 : 20, fluid === 'saline' ? 0.2 : 0.05),
      lotFactor: around(fluid === 'distilled' && lotIndex === 1 ? 0.6 : 1, 0.08),
    },
    seed: 1000 + index * 7 + (fluid === 'saline' ? 0 : fluid === 'distilled' ? 500 : 900),
    steps: stepsOf({
      readyS: 40 + Math.round(30 * dice()),
      bubblingS,
      purgeS: 30,
      drawsAfterS: [{ afterS: 150 + Math.round(120 * dice()), ml: 20 }],
      standingS: fluid === 'filtered' ? 1200 : 1500,
    }),
  }
  return {
    plan,
    daysAgo: 1 + Math.floor(((count - 1 - index) * 27) / count),
    // two hours apart at a bench, so that batches never overlap
    minuteOfDay: 8 * 60 + (index % 3) * 120 + (fluid === 'filtered' ? 60 : 0) + Math.floor(dice() * 10),
    who: PEOPLE[Math.floor(dice() * PEOPLE.length)] ?? PEOPLE[0],
  }
}
