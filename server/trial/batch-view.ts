import type { TrialBatch } from '../wire.ts'
import { measuresOf } from './charts.ts'
import { normalPlateau } from './compare-batch.ts'
import { deedView } from './deed-view.ts'
import { isPooled, type MemberFacts } from './member-facts.ts'
import { leftAfterPurge, minutesOf, reachedAt } from './prep-batch.ts'
import { pointOf } from './quantity.ts'
import { grubbs } from './stats/grubbs.ts'
import type { TrialPlan } from './trial.ts'

/** A batch of a trial as it is shown: how it came in, whether it counts and why not, and what it came to. */
export const batchView = (plan: TrialPlan, member: MemberFacts, flags: readonly string[]): TrialBatch => {
  const { facts } = member
  const { head } = facts.summary
  return {
    ...{ id: head.id, number: head.number, bench: head.bench, day: facts.day, opened_at: head.opened_at },
    ...{ fluid: head.fluid, lot: head.lot, group: member.group },
    how: member.member.how,
    joined: deedView(member.member.joined),
    excluded: member.member.excluded && deedView(member.member.excluded),
    pooled: isPooled(member),
    off_plan: [...member.offPlan],
    no_number: missing(plan, member),
    flags: [...flags],
    temperature_c: facts.temperatureC ?? null,
    gas_ug_per_nml: facts.gasUgPerNml ?? null,
    flow_ml_per_min: facts.flowMlPerMin ?? null,
    ozone_min: facts.ozoneMin ?? null,
    ...numbers(plan, member),
    rise_sd_mg_l: facts.riseSdMgL ?? null,
    decay_sd_mg_l: facts.decaySdMgL ?? null,
  }
}

const numbers = (plan: TrialPlan, { facts }: MemberFacts) => {
  const prep = plan.kind === 'prep-time' ? plan : undefined
  return {
    minutes: prep ? pointOf(minutesOf(prep, facts).minutes) : null,
    potency_off_mg_l: prep ? pointOf(reachedAt(facts, prep.prep_min)) : null,
    potency_after_mg_l: prep ? pointOf(leftAfterPurge(facts, prep.prep_min)) : null,
    plateau_mg_l: pointOf(facts.plateau),
    plateau_normal_mg_l: plan.kind === 'fluid-comparison' ? pointOf(normalPlateau(facts, plan)) : null,
    half_life_20c_min: pointOf(facts.halfLife20c),
  }
}

const missing = (plan: TrialPlan, { facts }: MemberFacts): string[] => {
  const plain = (why: string) => why.replaceAll('-', ' ')
  if (!facts.finished) return ['not finished yet']
  if (plan.kind === 'prep-time') {
    const { minutes, why } = minutesOf(plan, facts)
    return [
      ...(minutes === undefined ? [`time: ${plain(why)}`] : []),
      ...(leftAfterPurge(facts, plan.prep_min) === undefined
        ? [`after the purge: ${plain(facts.whyNoDecay)}`]
        : []),
    ]
  }
  return [
    ...(normalPlateau(facts, plan) === undefined ? [`plateau: ${plain(facts.whyNoRise)}`] : []),
    ...(facts.halfLife20c === undefined ? [`half-life: ${plain(facts.whyNoDecay)}`] : []),
  ]
}

/** By Grubbs' test on the logarithms of each measure; the batch stays in. */
export const flagsOf = (
  plan: TrialPlan,
  pooled: readonly MemberFacts[],
): ReadonlyMap<MemberFacts, readonly string[]> => {
  const flags = new Map<MemberFacts, string[]>()
  for (const { name, of } of measuresOf(plan)) {
    const found = pooled.flatMap((member) => {
      const value = of(member)?.value
      return value === undefined ? [] : [{ member, log: Math.log(value) }]
    })
    const apart = grubbs(found.map((f) => f.log))
    const flagged = apart?.flagged ? found[apart.index] : undefined
    if (flagged)
      flags.set(flagged.member, [...(flags.get(flagged.member) ?? []), `${name}: lies apart from the others`])
  }
  return flags
}
