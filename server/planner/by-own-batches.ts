import { celsius } from '../../ingest/units.ts'
import type { LogSpread } from '../analysis/input.ts'
import { bandOfNext } from '../analysis/next-batch-band.ts'
import { sameReference } from '../calibration/measured-against.ts'
import { ACTIVATION_ENERGY, halfLifeAt, REFERENCE_C } from '../model/arrhenius.ts'
import { type GasReference, NORMAL_KPA } from '../model/gas-concentration.ts'
import { coreSaturation } from '../model/saturation.ts'
import type { Spread } from '../model/solubility.ts'
import { LEAST_BATCHES, logSpreadOf, numberIn } from '../report/clinic-history.ts'
import { fillingOf, settingCells } from '../report/setting-cells.ts'
import { shrunkSpread } from '../report/shrunk-spread.ts'
import type { BatchSummary } from '../wire.ts'
import type { Rates } from './course.ts'
import type { PlanInput } from './plan-input.ts'

/** Batches that far from the plan still speak for it. Engineering judgement. */
const TEMPERATURE_WITHIN_C = 3
const FLOW_WITHIN = 0.2

export interface OwnBatches {
  readonly plateau: Spread | undefined
  readonly t95: Spread | undefined
  readonly halfLife: Spread | undefined
  /** What each rests on, in words. */
  readonly basis: readonly string[]
}

/**
 * The next batch by this clinic's own of the same fluid, newest first; where there are three settings of it or more, each drawn
 * towards the others. Plateaus in proportion to gas and solubility, of
 * batches within 3 °C and against one reference; t95 of batches within 3 °C and 20 % of volume and flow; half-lives of all,
 * from 20 °C to the planned temperature by 45 to 80 kJ/mol. Each needs three batches.
 */
export const ownBatches = (plan: PlanInput, finished: readonly BatchSummary[]): OwnBatches => {
  const alike = finished.filter((s) => s.head.fluid === plan.fluid)
  const near = alike.filter((s) => {
    const celsius = bubbledAt(s)
    return celsius !== null && Math.abs(celsius - plan.temperatureC) <= TEMPERATURE_WITHIN_C
  })
  const reference = near[0]?.measured_against ?? []
  const same = near.filter((s) => sameReference(reference, s.measured_against))
  const plateaus = same.flatMap((s) => plateauByPlan(s, plan))
  const t95s = near.filter((s) => sameFilling(s, plan)).flatMap((s) => numberIn(s.t95_min) ?? [])
  const lives = alike.flatMap((s) => numberIn(s.half_life_20c_min) ?? [])
  const own = { volumeMl: plan.volumeMl, flowMlPerMin: plan.flowMlPerMin }
  const drawn = (batches: readonly BatchSummary[], value: (s: BatchSummary) => number | null) =>
    nextOf(
      shrunkSpread(
        settingCells(
          own,
          batches.map((s) => ({ filling: fillingOf(s), value: value(s) })),
        ),
      ),
    )
  const left = near.length - same.length
  return {
    plateau: drawn(same, (s) => plateauByPlan(s, plan)[0] ?? null),
    t95: nextOf(logSpreadOf(t95s), t95s.length),
    halfLife: atPlan(
      drawn(alike, (s) => numberIn(s.half_life_20c_min)),
      plan,
    ),
    basis: [
      `plateau: ${counted(plateaus.length, `of this fluid within ${TEMPERATURE_WITHIN_C} °C`, ', in proportion to gas and solubility')}${left > 0 ? `; ${left} measured against another reference left out` : ''}`,
      `t95: ${counted(t95s.length, `of this fluid within ${TEMPERATURE_WITHIN_C} °C and 20 % of volume and flow`)}`,
      `half-life: ${counted(lives.length, 'of this fluid', ', carried from 20 °C to the planned temperature')}`,
    ],
  }
}

/** While ozone was on; the whole batch’s where that is not known: its standing may have been warmer. */
const bubbledAt = (s: BatchSummary): number | null => s.bubbling_temperature_c ?? s.mean_temperature_c

const counted = (n: number, of: string, then = ''): string => {
  const batches = `${n === 0 ? 'no' : n} finished ${n === 1 ? 'batch' : 'batches'} ${of}`
  return n < LEAST_BATCHES
    ? `${batches}, which is too few (${LEAST_BATCHES} are needed)`
    : `${batches}${then}`
}

const nextOf = (spread: LogSpread | undefined, batches = 1): Spread | undefined =>
  spread && bandOfNext(spread, batches)

/** By the ratio of what the fluid would hold at equilibrium: gas in proportion (Henry's law), temperature by the solubility. */
const plateauByPlan = (summary: BatchSummary, plan: PlanInput): number[] => {
  const { head, plateau_mg_l } = summary
  const plateau = numberIn(plateau_mg_l)
  const temperatureC = bubbledAt(summary)
  if (plateau === null || head.gas === null || temperatureC === null) return []
  const gas = { ugPerMl: head.gas.ug_per_ml, reference: head.gas.reference as GasReference }
  const where = { pressureKpa: plan.pressureKpa ?? NORMAL_KPA, saline: plan.fluid === 'saline' }
  const planned = coreSaturation({ ...where, gas: plan.gas, temperatureC: plan.temperatureC }).central
  return [(plateau * planned) / coreSaturation({ ...where, gas, temperatureC }).central]
}

const sameFilling = ({ head }: BatchSummary, plan: PlanInput): boolean =>
  head.flow_ml_per_min !== null &&
  Math.abs(head.flow_ml_per_min / plan.flowMlPerMin - 1) <= FLOW_WITHIN &&
  Math.abs(head.volume_ml / plan.volumeMl - 1) <= FLOW_WITHIN

const atPlan = (life20: Spread | undefined, { temperatureC }: PlanInput): Spread | undefined => {
  if (!life20) return undefined
  const shifted = (minutes: number) =>
    [ACTIVATION_ENERGY.low, ACTIVATION_ENERGY.high].map((energy) =>
      halfLifeAt(minutes, REFERENCE_C, celsius(temperatureC), energy),
    )
  return {
    low: Math.min(...shifted(life20.low)),
    central: halfLifeAt(life20.central, REFERENCE_C, celsius(temperatureC), ACTIVATION_ENERGY.central),
    high: Math.max(...shifted(life20.high)),
  }
}

/** Every combination of the ends; undefined where one of the three is not known. Decay never outruns the whole rate. */
export const ratesByOwn = ({ plateau, t95, halfLife }: OwnBatches): Rates[] | undefined => {
  if (!plateau || !t95 || !halfLife) return undefined
  return [plateau.low, plateau.high].flatMap((plateauMgPerL) =>
    [t95.low, t95.central, t95.high].flatMap((minutes) =>
      [halfLife.low, halfLife.high].map((life) => {
        const rate = Math.log(20) / minutes
        const decayPerMin = Math.min(Math.LN2 / life, rate * MOST_DECAY)
        return { plateauMgPerL, transferPerMin: rate - decayPerMin, decayPerMin }
      }),
    ),
  )
}

/** Where a band of t95 and one of half-lives contradict each other: part of the rate of filling that may be decay. */
const MOST_DECAY = 0.9
