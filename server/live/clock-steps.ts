import type { Reading } from '../../ingest/reading/reading.ts'
import type { Batch } from '../ledger/batch.ts'
import type { Entry } from '../ledger/entry.ts'

/** By how much a recorded step moved the wall clock, µs. */
const stepUsOf = (step: Entry): number =>
  step.kind === 'from-daemon' ? Number(step.data.detail['step_us'] ?? 0) : 0

export const sumOfStepsUs = (steps: readonly Entry[]): number =>
  steps.reduce((sum, step) => sum + stepUsOf(step), 0)

const openedSeq = (batch: Batch): number => batch.entries[0]?.seq ?? 0

const discardedSeq = (batch: Batch): number =>
  batch.entries.findLast((e) => e.kind === 'discarded' && !batch.undone.has(e.id))?.seq ??
  Number.POSITIVE_INFINITY

/** Steps recorded between opening and discard: only they lie between two moments of the batch. */
export const stepsWithin = (batch: Batch, clockSteps: readonly Entry[]): readonly Entry[] =>
  clockSteps.filter((step) => step.seq > openedSeq(batch) && step.seq < discardedSeq(batch))

/**
 * After a clock was set back, readings are named after the newest name given before, so their names run ahead of the
 * wall clock by up to this much, µs.
 */
export const namesAheadUs = (clockSteps: readonly Entry[]): number =>
  clockSteps.reduce((sum, step) => sum + Math.max(0, -stepUsOf(step)), 0)

/**
 * Is this reading older than a batch although its name lies in it? So it is when the clock was set back between
 * the two, told by uptime.
 */
export const isBeforeOpening = (batch: Batch, clockSteps: readonly Entry[]) => {
  const before = clockSteps.filter((step) => step.seq < openedSeq(batch) && stepUsOf(step) < 0)
  return (reading: Pick<Reading, 'bootId' | 'monoMs'>): boolean =>
    before.some(
      (step) =>
        step.kind === 'from-daemon' &&
        step.data.detail['boot_id'] === reading.bootId &&
        reading.monoMs < Number(step.data.detail['mono_ms']),
    )
}
