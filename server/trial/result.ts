import type { RuleOfThumb } from '../model/rules-of-thumb.ts'
import type { TrialResult } from '../wire.ts'
import { beside, REVALIDATE } from './beside.ts'
import { chartsOf } from './charts.ts'
import { comparison } from './comparison.ts'
import { daysOf, type MemberFacts } from './member-facts.ts'
import { prepTime } from './prep-time.ts'
import type { FilledRun } from './runs.ts'
import type { Trial } from './trial.ts'

/** What a trial comes to with these batches. `pooled`: those that count, in any order; `since`: what casts doubt on it by now. */
export const trialResult = (
  trial: Trial,
  pooled: readonly MemberFacts[],
  rules: readonly RuleOfThumb[],
  runs: readonly FilledRun[],
  since: readonly string[] = [],
): TrialResult => {
  const { plan } = trial
  const own =
    plan.kind === 'prep-time' ? prepTimeResult(plan, pooled, rules, since) : comparison(plan, pooled)
  return {
    ...own,
    pooled: pooled.length,
    days: daysOf(pooled).length,
    cautions: [...own.cautions, ...selection(trial, pooled), ...outOfTurn(runs)],
    charts: chartsOf(plan, pooled),
  }
}

const prepTimeResult = (
  plan: Parameters<typeof prepTime>[0],
  pooled: readonly MemberFacts[],
  rules: readonly RuleOfThumb[],
  since: readonly string[],
) => {
  const found = prepTime(plan, pooled)
  const revalidate_now = [...dueOf(chartsOf(plan, pooled)), ...since]
  return {
    ...found,
    detail: { ...found.detail, beside: beside(plan, rules), revalidate: [...REVALIDATE], revalidate_now },
  }
}

/** What the control charts show already. */
const dueOf = (charts: TrialResult['charts']): string[] =>
  charts.flatMap(({ name, outside, drift_from }) => [
    ...(outside.length > 0 ? [`${name}: ${outside.join(', ')} outside the limits of the control chart`] : []),
    ...(drift_from === null ? [] : [`${name}: a drift, from ${drift_from} on all on one side of the centre`]),
  ])

const outOfTurn = (runs: readonly FilledRun[]): string[] => {
  const made = runs.filter((r) => r.in_turn === false)
  return made.length === 0 ? [] : [`made out of the run order: ${made.map((r) => r.batch).join(', ')}`]
}

/** What a reviewer would ask about how the batches came in. */
const selection = (trial: Trial, pooled: readonly MemberFacts[]): string[] => {
  const selected = pooled.filter((m) => m.member.how === 'selected').length
  const late = trial.changes.filter((c) => c.batchesThen > 0).length
  return [
    ...(selected > 0
      ? [
          `${selected} of ${pooled.length} batches ${selected === 1 ? 'was' : 'were'} taken in afterwards, when what ${selected === 1 ? 'it' : 'they'} came to could be known; the run order was not kept for ${selected === 1 ? 'it' : 'them'}`,
        ]
      : []),
    ...(late > 0
      ? [`the plan was changed ${late === 1 ? 'once' : `${late} times`} after batches belonged to the trial`]
      : []),
  ]
}
