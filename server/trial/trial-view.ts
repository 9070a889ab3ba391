import type { RuleOfThumb } from '../model/rules-of-thumb.ts'
import type { TrialHead, TrialView } from '../wire.ts'
import { batchView, flagsOf } from './batch-view.ts'
import { deedView } from './deed-view.ts'
import { isPoolable, isPooled, type MemberFacts } from './member-facts.ts'
import { trialResult } from './result.ts'
import { runOrder } from './run-order.ts'
import type { PlanChange, Trial, TrialPlan } from './trial.ts'

export const trialHead = (trial: Trial): TrialHead => {
  const { id, plan, planned, members, closed } = trial
  return {
    ...{ id, title: plan.title, kind: plan.kind },
    planned: deedView(planned),
    batches: members.filter((m) => m.excluded === null).length,
    wanted: plan.batches * (plan.kind === 'fluid-comparison' ? plan.groups.length : 1),
    closed: closed && {
      ...deedView(closed.deed),
      answer: closed.data.answer,
      sentence: closed.data.sentence,
    },
  }
}

export type TrialWorked = Omit<TrialView, 'simulated' | 'ledger_entries' | 'ledger_head'>

/** A trial with everything a reviewer asks for. `members`: those of the trial whose opening was not taken back. */
export const trialView = (
  trial: Trial,
  members: readonly MemberFacts[],
  rules: readonly RuleOfThumb[],
): TrialWorked => {
  const pooled = members.filter(isPooled)
  const poolable = members.filter(isPoolable)
  const flags = flagsOf(trial.plan, pooled)
  return {
    ...trialHead(trial),
    plan: trial.plan,
    changes: trial.changes.map(changeView),
    run_order: orderOf(trial.plan),
    members: members.map((m) => batchView(trial.plan, m, flags.get(m) ?? [])),
    result: trialResult(trial, pooled, rules),
    with_excluded: poolable.length > pooled.length ? trialResult(trial, poolable, rules) : null,
    newest_seq: trial.newestSeq,
  }
}

const orderOf = (plan: TrialPlan): TrialView['run_order'] =>
  plan.kind === 'prep-time'
    ? runOrder(
        plan.seed,
        plan.benches.map((b) => `bench ${b}`),
        Math.ceil(plan.batches / plan.benches.length),
        plan.days,
      )
    : runOrder(
        plan.seed,
        plan.groups.map((g) => g.name),
        plan.batches,
        plan.days,
      )

const changeView = ({ deed, before, after, batchesThen }: PlanChange): TrialView['changes'][number] => {
  const [old, now]: Record<string, unknown>[] = [{ ...before }, { ...after }]
  const keys = [...new Set([...Object.keys(old ?? {}), ...Object.keys(now ?? {})])]
  const shown = (value: unknown) => (value === undefined ? 'not given' : JSON.stringify(value))
  return {
    ...deedView(deed),
    batches_then: batchesThen,
    changed: keys
      .filter((key) => JSON.stringify(old?.[key]) !== JSON.stringify(now?.[key]))
      .map((key) => `${key}: ${shown(old?.[key])} becomes ${shown(now?.[key])}`),
  }
}
