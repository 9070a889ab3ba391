import type { EntryOf } from '../ledger/entry.ts'
import type { Ledger } from '../ledger/ledger.ts'
import type { TrialHead } from '../wire.ts'
import type { BatchFacts } from './batch-facts.ts'
import { memberFacts } from './member-facts.ts'
import { isOfGroup } from './off-plan.ts'
import { filledRuns, type RunBatch } from './runs.ts'
import type { Member, Trial } from './trial.ts'
import { asRun, trialHead } from './trial-view.ts'

/** What is known of a batch without working it out. */
export interface Glance {
  readonly facts: BatchFacts | undefined
  /** Discarded before ozone was ever on. */
  readonly givenUp: boolean
}

/**
 * Trials as they are listed, newest first, without working out any batch: whether one that nobody has looked at yet is off
 * plan is not known, so it counts until then, unless it was given up.
 */
export const trialHeads = (
  ledger: Pick<Ledger, 'ofKind'>,
  trials: readonly Trial[],
  glanceAt: (batch: string) => Glance,
): TrialHead[] => {
  const undone = new Set(ledger.ofKind('undone').map((e) => e.data.entry))
  const openings = new Map(
    ledger
      .ofKind('batch-opened')
      .flatMap((e) => (e.batch === null || undone.has(e.id) ? [] : [[e.batch, e]])),
  )
  // of a closed one no batch is to be made
  const runsOf = (trial: Trial): RunBatch[] =>
    (trial.closed === null ? trial.members : []).flatMap((member) => {
      const opening = openings.get(member.batch)
      if (member.excluded !== null || opening === undefined) return []
      const { facts, givenUp } = glanceAt(member.batch)
      const isOff = facts?.finished === true && memberFacts(trial, member, facts).offPlan.length > 0
      return isOff || givenUp ? [] : runOf(trial, member, opening)
    })
  return trials.map((trial) => trialHead(trial, filledRuns(trial.plan, runsOf(trial)))).reverse()
}

const runOf = ({ plan }: Trial, member: Member, opening: EntryOf<'batch-opened'>): RunBatch[] => {
  const { data, bench, happened_at: opened_at } = opening
  const group = plan.kind === 'prep-time' ? null : (plan.groups.find((g) => isOfGroup(g, data))?.name ?? null)
  if (bench === null || (plan.kind === 'fluid-comparison' && group === null)) return []
  return [asRun(member, { number: data.number, opened_at, bench }, group)]
}
