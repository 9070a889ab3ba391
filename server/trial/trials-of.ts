import type { Ledger } from '../ledger/ledger.ts'
import { foldTrials, TRIAL_KINDS, type Trial, type TrialEntry } from './trial.ts'

/** All trials of the clinic, from the ledger. */
export const trialsOf = (ledger: Pick<Ledger, 'ofKind'>): Trial[] =>
  foldTrials(
    [...TRIAL_KINDS, 'batch-opened' as const]
      .flatMap((kind): TrialEntry[] => ledger.ofKind(kind))
      .sort((a, b) => a.seq - b.seq),
  )
