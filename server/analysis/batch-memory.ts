import { SignalMemory } from '../phase/signal-memory.ts'
import { Cleaner } from './clean-readings.ts'
import { afresh, type PhaseAnalysis, remembering } from './phase-memory.ts'
import { PhaseSignal } from './phase-signal.ts'
import { PhaseSlots } from './phase-slots.ts'

/**
 * What the analysis of a batch keeps for its next update. Everything in it checks that it still holds, so that the same
 * memory may see any inputs in any order: what comes out is what a new one gives.
 */
export interface BatchMemory {
  readonly cleaner: Cleaner
  readonly signal: PhaseSignal
  readonly turns: SignalMemory
  readonly slots: PhaseSlots
  readonly finished: PhaseAnalysis
}

const memory = (finished: PhaseAnalysis): BatchMemory => ({
  cleaner: new Cleaner(),
  signal: new PhaseSignal(),
  turns: new SignalMemory(),
  slots: new PhaseSlots(),
  finished,
})

/** For one update alone. */
export const noMemory = (): BatchMemory => memory(afresh)

/** For one bench, update after update. */
export const batchMemory = (): BatchMemory => memory(remembering())
