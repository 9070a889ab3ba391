import type { BatchFacts } from './batch-facts.ts'
import { offPlan } from './off-plan.ts'
import type { Member, Trial } from './trial.ts'

/** A batch of a trial, judged against the plan before its results are looked at. */
export interface MemberFacts {
  readonly member: Member
  readonly facts: BatchFacts
  /** Why it is kept apart; empty: it is as planned. */
  readonly offPlan: readonly string[]
  /** Of a comparison: the group it belongs to. */
  readonly group: string | null
}

export const memberFacts = (trial: Trial, member: Member, facts: BatchFacts): MemberFacts => ({
  member,
  facts,
  ...offPlan(trial.plan, facts),
})

/** As planned and finished, whether left out or not. */
export const isPoolable = ({ facts, offPlan: why }: MemberFacts): boolean =>
  facts.finished && why.length === 0

export const isPooled = (member: MemberFacts): boolean =>
  isPoolable(member) && member.member.excluded === null

export const numberOf = ({ facts }: MemberFacts): string => facts.summary.head.number

export const daysOf = (members: readonly MemberFacts[]): string[] =>
  [...new Set(members.map((m) => m.facts.day))].sort()
