import type { RuleOfThumb } from '../model/rules-of-thumb.ts'
import type { TrialHead, TrialView } from '../wire.ts'
import { batchView, flagsOf } from './batch-view.ts'
import { deedView } from './deed-view.ts'
import { calibrationsOf } from './instruments.ts'
import { isPoolable, isPooled, type MemberFacts } from './member-facts.ts'
import { trialResult } from './result.ts'
import { type FilledRun, filledRuns, nextRun, type RunBatch } from './runs.ts'
import { toDo } from './to-do.ts'
import type { Member, PlanChange, Trial } from './trial.ts'

/** `runs`: the run order with what was made of it. */
export const trialHead = (trial: Trial, runs: readonly FilledRun[]): TrialHead => {
  const { id, plan, planned, members, closed } = trial
  return {
    ...{ id, title: plan.title, kind: plan.kind, plan },
    planned: deedView(planned),
    batches: members.filter((m) => m.excluded === null).length,
    wanted: plan.batches * (plan.kind === 'fluid-comparison' ? plan.groups.length : 1),
    next: closed === null ? nextOf(runs) : null,
    closed: closed && {
      ...deedView(closed.deed),
      answer: closed.data.answer,
      sentence: closed.data.sentence,
    },
  }
}

const nextOf = (runs: readonly FilledRun[]): TrialHead['next'] => {
  const found = nextRun(runs)
  return found && { run: found.run, day: found.day, what: found.what, bench: found.bench, group: found.group }
}

export type TrialWorked = Omit<TrialView, 'simulated' | 'ledger_entries' | 'ledger_head' | 'over_volume'>

/** A trial with everything a reviewer asks for. `members`: those of the trial whose opening was not taken back. */
export const trialView = (
  trial: Trial,
  members: readonly MemberFacts[],
  rules: readonly RuleOfThumb[],
  since: readonly string[] = [],
): TrialWorked => {
  const pooled = members.filter(isPooled)
  const poolable = members.filter(isPoolable)
  const flags = flagsOf(trial.plan, pooled)
  const runs = filledRuns(trial.plan, members.flatMap(runBatch))
  const result = trialResult(trial, pooled, rules, runs, since)
  return {
    ...trialHead(trial, runs),
    changes: trial.changes.map(changeView),
    run_order: runs.map(({ block: _block, ...run }) => run),
    ...calibrationsOf(members),
    members: members.map((m) => batchView(trial.plan, m, flags.get(m) ?? [])),
    result,
    with_excluded: poolable.length > pooled.length ? trialResult(trial, poolable, rules, runs, since) : null,
    to_do: result.answer === 'cannot-tell' && trial.closed === null ? toDo(trial.plan, members, runs) : [],
    newest_seq: trial.newestSeq,
  }
}

/** One that was left out or is off plan has to be made again; one that is not finished yet counts until it is. */
const runBatch = ({ member, facts, offPlan, group }: MemberFacts): RunBatch[] =>
  member.excluded !== null || (facts.finished && offPlan.length > 0)
    ? []
    : [asRun(member, facts.summary.head, group)]

/** A batch of a trial as the run order sees it. */
export const asRun = (
  { how }: Member,
  {
    number,
    opened_at,
    bench,
  }: { readonly number: string; readonly opened_at: string; readonly bench: string },
  group: string | null,
): RunBatch => ({ number, openedAt: opened_at, bench, group, selected: how === 'selected' })

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
