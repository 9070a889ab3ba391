import type { MethodSheetVersion, MethodSheetView, TrialHead } from '../server/wire.ts'
import type { BatchDetails } from './batch-plan.ts'
import { batchBySheet } from './sheet-batch.ts'
import { lotTyped } from './typed/lot-typed.ts'

type Next = NonNullable<TrialHead['next']>
type Plan = TrialHead['plan']

/** What a batch of the trial is filled with: of a comparison the group's own fluid and, where it names one, lot. */
export const fluidOfRun = (
  plan: Plan,
  { group }: Pick<Next, 'group'>,
): { fluid: BatchDetails['fluid']; fluid_detail?: string | undefined; lot?: string | undefined } => {
  if (plan.kind === 'prep-time') return plan
  return plan.groups.find((g) => g.name === group) ?? { fluid: 'other' }
}

/** The sheet in force that says to the letter what the plan says; undefined: there is none. */
export const sheetOfRun = (
  { plan }: Pick<TrialHead, 'plan'>,
  next: Next,
  sheets: readonly MethodSheetView[],
): MethodSheetVersion | undefined => {
  const { fluid, fluid_detail } = fluidOfRun(plan, next)
  return sheets
    .flatMap((s) => s.in_force ?? [])
    .find(
      ({ settings: s }) =>
        s.fluid === fluid &&
        s.fluid_detail === fluid_detail &&
        s.volume_ml === plan.volume_ml &&
        s.gas.ug_per_ml === plan.gas.ug_per_ml &&
        s.gas.reference === plan.gas.reference &&
        s.flow_ml_per_min === plan.flow_ml_per_min &&
        s.prep_min === plan.prep_min &&
        s.purge === plan.purge &&
        s.measuring_place === plan.measuring_place &&
        (plan.kind === 'fluid-comparison' || s.target_mg_l === plan.target_mg_l),
    )
}

/** What a plan may leave open and is then chosen for the batch. */
export interface Chosen {
  readonly lot: string
  readonly place: string
  readonly purge: string
}

/** A batch opened for the next run: by the sheet that fits, else with the settings of the plan. */
export const batchOfRun = (
  trial: Pick<TrialHead, 'id' | 'plan'>,
  next: Next,
  sheet: MethodSheetVersion | undefined,
  chosen: Chosen,
): BatchDetails => {
  const { plan } = trial
  const own = fluidOfRun(plan, next)
  const lot = own.lot ?? lotTyped(chosen.lot)
  if (sheet) return { ...batchBySheet(sheet, lot ?? ''), trial: trial.id }
  return {
    fluid: own.fluid,
    ...(own.fluid_detail === undefined ? {} : { fluid_detail: own.fluid_detail }),
    ...(lot === null ? {} : { lot }),
    ...{ volume_ml: plan.volume_ml, gas: plan.gas, flow_ml_per_min: plan.flow_ml_per_min },
    ...(plan.prep_min === undefined ? {} : { prep_min: plan.prep_min }),
    ...(plan.kind === 'prep-time'
      ? { target_mg_l: plan.target_mg_l }
      : { temperature_c: plan.temperature_c }),
    measuring_place: plan.measuring_place ?? chosen.place,
    purge: plan.purge ?? chosen.purge,
    trial: trial.id,
  } as BatchDetails
}
