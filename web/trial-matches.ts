import type { BatchSummary, TrialView } from '../server/wire.ts'

type Head = BatchSummary['head']

/**
 * Whether a past batch was set up as a plan says, by its settings alone: the server looks at temperature and what was measured once
 * it is taken in. A value that is not recorded does not match.
 */
export const matchesPlan = (head: Head, plan: TrialView['plan']): boolean =>
  ofTheFluid(head, plan) &&
  near(head.volume_ml, plan.volume_ml, plan.limits.volume_percent) &&
  near(head.flow_ml_per_min, plan.flow_ml_per_min, plan.limits.flow_percent) &&
  // stated for another state it is another number: the server brings both to one
  (head.gas !== null && head.gas.reference !== plan.gas.reference
    ? true
    : near(head.gas?.ug_per_ml ?? null, plan.gas.ug_per_ml, plan.limits.gas_percent)) &&
  (plan.purge === undefined || plan.purge === head.purge) &&
  (plan.measuring_place === undefined || plan.measuring_place === head.measuring_place) &&
  (plan.benches === undefined || plan.benches.includes(head.bench))

const ofTheFluid = (head: Head, plan: TrialView['plan']): boolean =>
  (plan.kind === 'prep-time' ? [{ ...plan, lot: undefined }] : plan.groups).some(
    (g) =>
      g.fluid === head.fluid &&
      (g.fluid_detail === undefined || g.fluid_detail === head.fluid_detail) &&
      (g.lot === undefined || g.lot === head.lot),
  )

const near = (value: number | null, planned: number, percent: number): boolean =>
  value !== null && 100 * Math.abs(value / planned - 1) <= percent + 1e-9
