import { type Batch, gasState } from '../ledger/batch.ts'
import type { Action } from '../wire.ts'
import type { BatchPlan } from './batch-plan.ts'
import { DEMO_OPERATOR } from './clinic.ts'

/** Seconds between a discard and the next filling. */
const PAUSE_S = 40

export type Scripted =
  | { readonly kind: 'open' }
  | { readonly kind: 'act'; readonly action: Action }
  | undefined

/** What the scripted operator does next at a bench; nothing once a person has taken the bench over. */
export const scriptedStep = (batch: Batch | undefined, plan: BatchPlan, nowMs: number): Scripted => {
  if (!batch) return { kind: 'open' }
  if (takenOver(batch)) return undefined
  if (batch.discardedAt)
    return nowMs - Date.parse(batch.discardedAt) > PAUSE_S * 1000 ? { kind: 'open' } : undefined
  const passedS = (nowMs - Date.parse(batch.openedAt)) / 1000
  const due = plan.steps.find((step) => step.atS <= passedS && !isDone(batch, step, plan))
  if (!due || due.kind === 'note') return undefined
  return {
    kind: 'act',
    action: due.kind === 'drawn-up' ? { kind: 'drawn-up', data: { ml: due.ml ?? 0 } } : { kind: due.kind },
  }
}

const takenOver = (batch: Batch): boolean =>
  batch.entries.some(
    (entry) => entry.who.how !== 'program' && entry.kind !== 'alarm' && entry.who.name !== DEMO_OPERATOR,
  )

const isDone = (batch: Batch, step: BatchPlan['steps'][number], plan: BatchPlan): boolean => {
  const state = gasState(batch).kind
  switch (step.kind) {
    case 'ozone-on':
      return batch.ozoneOnAt.length > 0
    case 'ozone-off':
      return batch.ozoneOffAt.length > 0
    case 'flow-off':
      return batch.flowOffAt.length > 0
    case 'drawn-up':
      return (
        batch.draws.length > plan.steps.filter((s) => s.kind === 'drawn-up').indexOf(step) ||
        state !== 'standing'
      )
    case 'discarded':
      return batch.discardedAt !== null
    case 'note':
      return true
  }
}
