import { type GasReference, NORMAL_KPA, toNormal } from '../model/gas-concentration.ts'
import { decimal, signed } from '../wording/format.ts'
import { FLUID } from '../wording/words.ts'
import type { BatchFacts } from './batch-facts.ts'
import type { TrialPlan } from './trial.ts'

type Found = { readonly offPlan: readonly string[]; readonly group: string | null }

/** Why a batch is not as planned, each in words with the number; and its group in a comparison. */
export const offPlan = (plan: TrialPlan, facts: BatchFacts): Found => {
  const own = plan.kind === 'prep-time' ? settingFaults(plan, facts) : groupFaults(plan, facts)
  return {
    group: own.group,
    offPlan: [...own.offPlan, ...wayFaults(plan, facts), ...limitFaults(plan, facts)],
  }
}

/** What a plan may leave open and then holds for every batch. */
const wayFaults = ({ measuring_place, benches, purge }: TrialPlan, { summary }: BatchFacts): string[] => {
  const { head } = summary
  return [
    ...(benches === undefined || benches.includes(head.bench)
      ? []
      : [`made at bench ${head.bench}, which the plan does not name`]),
    ...(purge === undefined || head.purge === purge ? [] : ['purged in another way than planned']),
    ...(measuring_place === undefined || head.measuring_place === measuring_place
      ? []
      : ['measured at another place than planned']),
  ]
}

const settingFaults = (plan: Extract<TrialPlan, { kind: 'prep-time' }>, { summary }: BatchFacts): Found => {
  const { head } = summary
  return { group: null, offPlan: sameFluid(plan, head) ? [] : [`another fluid: ${nameOf(head)}`] }
}

const groupFaults = (
  { groups }: Extract<TrialPlan, { kind: 'fluid-comparison' }>,
  { summary: { head } }: BatchFacts,
): Found => {
  const group = groups.find((g) => isOfGroup(g, head))
  const lot = head.lot === null ? '' : `, lot ${head.lot}`
  return group
    ? { group: group.name, offPlan: [] }
    : { group: null, offPlan: [`${nameOf(head)}${lot} is none of the groups`] }
}

/** Of the group's fluid, and of its lot where the group names one. */
export const isOfGroup = (
  group: Kind & { readonly lot?: string | undefined },
  batch: Kind & { readonly lot?: string | null | undefined },
): boolean => sameFluid(group, batch) && (group.lot === undefined || group.lot === batch.lot)

interface Kind {
  readonly fluid: keyof typeof FLUID
  readonly fluid_detail?: string | null | undefined
}

export const sameFluid = (a: Kind, b: Kind): boolean =>
  a.fluid === b.fluid && (a.fluid_detail === undefined || a.fluid_detail === b.fluid_detail)

const nameOf = ({ fluid, fluid_detail }: Kind): string =>
  FLUID[fluid] + (fluid_detail ? ` (${fluid_detail})` : '')

/** While it runs a value may still come; once it is finished, one that is not known keeps it apart. */
const limitFaults = (plan: TrialPlan, facts: BatchFacts): string[] => {
  const faults = allLimitFaults(plan, facts)
  return facts.finished ? faults : faults.filter((fault) => !fault.endsWith(NOT_KNOWN))
}

const NOT_KNOWN = ' not known'

const allLimitFaults = (plan: TrialPlan, facts: BatchFacts): string[] => {
  const { limits } = plan
  const { temperatureC, gasUgPerNml, flowMlPerMin, summary } = facts
  const state = { celsius: temperatureC ?? 20, kpa: NORMAL_KPA }
  const gas = toNormal({ ugPerMl: plan.gas.ug_per_ml, reference: plan.gas.reference as GasReference }, state)
  return [
    ...away('volume', summary.head.volume_ml, plan.volume_ml, limits.volume_percent),
    ...away('gas', gasUgPerNml, gas, limits.gas_percent),
    ...away('flow', flowMlPerMin, plan.flow_ml_per_min, limits.flow_percent),
    ...(temperatureC === undefined
      ? ['temperature not known']
      : temperatureC < limits.temperature_low_c || temperatureC > limits.temperature_high_c
        ? [
            `temperature while bubbling ${decimal(temperatureC, 1)} °C, planned ${limits.temperature_low_c} to ${limits.temperature_high_c} °C`,
          ]
        : []),
  ]
}

const away = (what: string, found: number | undefined, planned: number, percent: number): string[] => {
  if (found === undefined) return [`${what}${NOT_KNOWN}`]
  const off = 100 * (found / planned - 1)
  return Math.abs(off) > percent + 1e-9
    ? [`${what} ${signed(off, 0)} % from the plan, allowed ± ${percent} %`]
    : []
}
