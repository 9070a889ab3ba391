import type { z } from 'zod'
import type { Entry, EntryData, EntryOf, trialPlan, Who } from '../ledger/entry.ts'

export type TrialPlan = z.infer<typeof trialPlan>
export type PrepTimePlan = Extract<TrialPlan, { kind: 'prep-time' }>
export type ComparisonPlan = Extract<TrialPlan, { kind: 'fluid-comparison' }>

/** Who did it, when, and why; `seq` is the number of the entry. */
export interface TrialDeed {
  readonly seq: number
  readonly at: string
  readonly who: Who
  readonly why: string | null
}

export interface Member {
  readonly batch: string
  /** `opened`: the batch was opened for the trial; `selected`: it was taken in afterwards, for a reason. */
  readonly how: 'opened' | 'selected'
  readonly joined: TrialDeed
  readonly excluded: TrialDeed | null
}

export interface PlanChange {
  readonly deed: TrialDeed
  readonly before: TrialPlan
  readonly after: TrialPlan
  /** Batches that belonged to the trial then: above none, the plan was changed after results could be seen. */
  readonly batchesThen: number
}

/** A trial is a fold over its entries. */
export interface Trial {
  readonly id: string
  readonly plan: TrialPlan
  readonly planned: TrialDeed
  readonly changes: readonly PlanChange[]
  readonly members: readonly Member[]
  readonly closed: { readonly deed: TrialDeed; readonly data: EntryData<'trial-closed'> } | null
  readonly newestSeq: number
}

export const TRIAL_KINDS = [
  'trial-planned',
  'trial-changed',
  'trial-batch-joined',
  'trial-batch-excluded',
  'trial-closed',
] as const

export type TrialEntry = EntryOf<(typeof TRIAL_KINDS)[number] | 'batch-opened'>

/** Trials in the order they were planned. Entries in their order; of openings those that name a trial count. */
export const foldTrials = (entries: readonly TrialEntry[]): Trial[] => {
  const byTrial = new Map<string, TrialEntry[]>()
  for (const entry of entries) {
    const { trial } = entry.data
    if (trial !== undefined) byTrial.set(trial, [...(byTrial.get(trial) ?? []), entry])
  }
  return [...byTrial].flatMap(([id, own]) => foldTrial(id, own) ?? [])
}

const foldTrial = (id: string, entries: readonly TrialEntry[]): Trial | undefined => {
  const [first, ...later] = entries
  if (first?.kind !== 'trial-planned') return undefined
  const start: Trial = {
    id,
    plan: first.data.plan,
    planned: deedOf(first),
    changes: [],
    members: [],
    closed: null,
    newestSeq: first.seq,
  }
  return later.reduce(step, start)
}

const step = (trial: Trial, entry: TrialEntry): Trial => {
  const next = { ...trial, newestSeq: entry.seq }
  const deed = deedOf(entry)
  switch (entry.kind) {
    case 'trial-planned':
      return next
    case 'trial-changed': {
      const change = { deed, before: trial.plan, after: entry.data.plan, batchesThen: trial.members.length }
      return { ...next, plan: entry.data.plan, changes: [...trial.changes, change] }
    }
    case 'batch-opened':
      return entry.batch === null ? next : { ...next, members: joined(trial, entry.batch, 'opened', deed) }
    case 'trial-batch-joined':
      return { ...next, members: joined(trial, entry.data.batch, 'selected', deed) }
    case 'trial-batch-excluded':
      return {
        ...next,
        members: trial.members.map((m) => (m.batch === entry.data.batch ? { ...m, excluded: deed } : m)),
      }
    case 'trial-closed':
      return { ...next, closed: { deed, data: entry.data } }
    default:
      return entry satisfies never
  }
}

/** One that was left out and is taken in again counts again; how it first came in stays. */
const joined = (trial: Trial, batch: string, how: Member['how'], deed: TrialDeed): Member[] => {
  const there = trial.members.find((m) => m.batch === batch)
  if (!there) return [...trial.members, { batch, how, joined: deed, excluded: null }]
  return trial.members.map((m) => (m === there ? { ...m, joined: deed, excluded: null } : m))
}

const deedOf = ({ seq, happened_at, who, why }: Entry): TrialDeed => ({ seq, at: happened_at, who, why })
