import type { Batch } from '../ledger/batch.ts'
import type { Ledger } from '../ledger/ledger.ts'
import { newestBatchAt } from '../ledger/newest-batch.ts'
import type { RuleOfThumb } from '../model/rules-of-thumb.ts'
import { NO_PAST, type Past } from '../report/clinic-history.ts'
import type { Known } from './bench-state.ts'

interface Sources {
  readonly ledger: Ledger
  readonly pastOf: (batch: Batch) => Past
  readonly rulesOfThumb: () => readonly RuleOfThumb[]
}

/** What the record says of a bench now: its newest batch, what readings are corrected by, what came before. */
export const knownOf = (bench: string, { ledger, pastOf, rulesOfThumb }: Sources): Known => {
  const batch = newestBatchAt(ledger, bench)
  return {
    batch,
    calibrations: [...ledger.ofKind('calibration'), ...ledger.ofKind('step-test')],
    clockSteps: ledger.ofKind('from-daemon').filter((e) => e.data.kind === 'clock-step'),
    past: batch ? pastOf(batch) : NO_PAST,
    rulesOfThumb,
  }
}
