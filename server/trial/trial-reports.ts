import type { Batch } from '../ledger/batch.ts'
import type { Ledger } from '../ledger/ledger.ts'
import { openingUndone } from '../ledger/newest-batch.ts'
import type { RuleOfThumb } from '../model/rules-of-thumb.ts'
import type { BatchReports } from '../report/batch-report.ts'
import type { TrialView } from '../wire.ts'
import { siteClock } from '../wording/site-clock.ts'
import { type BatchFacts, batchFacts } from './batch-facts.ts'
import { type MemberFacts, memberFacts } from './member-facts.ts'
import type { Trial } from './trial.ts'
import { trialView } from './trial-view.ts'

interface Parts {
  readonly ledger: Pick<Ledger, 'head'>
  readonly reports: Pick<BatchReports, 'batch' | 'summary' | 'analysed' | 'calibrationsUsed' | 'keyOf'>
  readonly rulesOfThumb: () => readonly RuleOfThumb[]
  readonly zone: string
}

const MOST_REMEMBERED = 1000

/** Trials worked out from the reports of their batches; a finished batch is worked out once until its record changes. */
export class TrialReports {
  private readonly parts: Parts
  private readonly known = new Map<string, { readonly key: string; readonly facts: BatchFacts }>()

  constructor(parts: Parts) {
    this.parts = parts
  }

  view(trial: Trial): TrialView {
    const { ledger, rulesOfThumb } = this.parts
    const members = this.members(trial)
    const { entries, head } = ledger.head()
    return {
      ...trialView(trial, members, rulesOfThumb()),
      simulated: members.some((m) => m.facts.summary.head.simulated),
      ledger_entries: entries,
      ledger_head: head,
    }
  }

  private members(trial: Trial): MemberFacts[] {
    return trial.members.flatMap((member) => {
      const batch = this.parts.reports.batch(member.batch)
      return batch && !openingUndone(batch) ? [memberFacts(trial, member, this.factsOf(batch))] : []
    })
  }

  private factsOf(batch: Batch): BatchFacts {
    const { reports, zone } = this.parts
    const key = reports.keyOf(batch)
    const known = this.known.get(batch.id)
    if (known?.key === key && batch.discardedAt !== null) return known.facts
    const used = reports.calibrationsUsed(batch) ?? []
    const facts = batchFacts({
      summary: reports.summary(batch),
      ...reports.analysed(batch),
      calibratedIn: used.flatMap((c) => c.data.fluid ?? []),
      day: siteClock(zone).day(batch.openedAt),
    })
    this.known.set(batch.id, { key, facts })
    if (this.known.size > MOST_REMEMBERED) this.known.delete(this.known.keys().next().value ?? '')
    return facts
  }
}
