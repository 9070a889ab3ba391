import { type GasReference, NORMAL_KPA, toNormal } from '../model/gas-concentration.ts'
import type { BatchFacts } from './batch-facts.ts'
import type { Relative } from './quantity.ts'
import { temperatureShift } from './temperature-shift.ts'
import type { ComparisonPlan } from './trial.ts'

/** The plateau as it would be at the plan's gas value and temperature: in proportion to the gas (Henry), and by solubility. */
export const normalPlateau = (
  { plateau, gasUgPerNml, temperatureC, summary }: BatchFacts,
  plan: ComparisonPlan,
): Relative | undefined => {
  if (plateau === undefined || gasUgPerNml === undefined || temperatureC === undefined) return undefined
  const gas = toNormal(
    { ugPerMl: plan.gas.ug_per_ml, reference: plan.gas.reference as GasReference },
    { celsius: plan.temperature_c, kpa: NORMAL_KPA },
  )
  const { factor } = temperatureShift(temperatureC, plan.temperature_c, summary.head.fluid === 'saline')
  return { ...plateau, value: (plateau.value * gas * factor) / gasUgPerNml }
}
