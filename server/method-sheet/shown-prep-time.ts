import type { PrepTimePlan, Trial } from '../trial/trial.ts'
import type { MethodSheetVersion } from '../wire.ts'
import type { MethodSheet } from './method-sheet.ts'

/** Why the trial that a sheet names does not show its prep time; null: it does. */
export const whyNotShown = (settings: MethodSheet, trials: readonly Trial[]): string | null => {
  const trial = trials.find((t) => t.id === settings.prep_time_shown_by)
  if (!trial) return 'there is no such trial'
  const { plan, closed } = trial
  if (plan.kind !== 'prep-time') return `"${plan.title}" compares fluids`
  if (closed === null) return `"${plan.title}" is not closed`
  if (closed.data.answer !== 'shown') return `"${plan.title}" was closed without showing it`
  const others = differences(settings, plan)
  return others.length === 0 ? null : `"${plan.title}" was made with ${others.join(', ')}`
}

/** What the plan says otherwise, each with its own value. A lower target than the trial's is held too. */
const differences = (sheet: MethodSheet, plan: PrepTimePlan): string[] => [
  ...(sheet.fluid === plan.fluid && (plan.fluid_detail ?? sheet.fluid_detail) === sheet.fluid_detail
    ? []
    : ['another fluid']),
  ...unlike('a volume of', sheet.volume_ml, plan.volume_ml, 'mL'),
  ...(sheet.gas.reference === plan.gas.reference ? [] : ['a gas value stated for another state']),
  ...unlike('a gas value of', sheet.gas.ug_per_ml, plan.gas.ug_per_ml, 'µg/mL'),
  ...unlike('a gas flow of', sheet.flow_ml_per_min, plan.flow_ml_per_min, 'mL/min'),
  ...unlike('a prep time of', sheet.prep_min, plan.prep_min, 'min'),
  ...(sheet.purge === plan.purge ? [] : ['another way of purging']),
  ...(sheet.target_mg_l <= plan.target_mg_l ? [] : [`a target of ${plan.target_mg_l} µg/mL only`]),
]

const unlike = (what: string, sheet: number, plan: number, unit: string): string[] =>
  sheet === plan ? [] : [`${what} ${plan} ${unit}`]

/** The trial that showed the prep time of these settings; null: none that is named, or not for these. */
export const prepTimeTrial = (
  settings: MethodSheet,
  trials: readonly Trial[],
): MethodSheetVersion['prep_time_trial'] => {
  const trial = trials.find((t) => t.id === settings.prep_time_shown_by)
  if (!trial || trial.closed === null || trial.plan.kind !== 'prep-time') return null
  if (whyNotShown(settings, trials) !== null) return null
  const { plan, closed, members } = trial
  return {
    ...{ id: trial.id, title: plan.title, closed_at: closed.deed.at, closed_by: closed.deed.who.name },
    benches: plan.benches,
    batches: members.filter((m) => m.excluded === null).length,
    ...{ confidence_percent: plan.confidence_percent, coverage_percent: plan.coverage_percent },
  }
}
