import { setImmediate as immediate, setTimeout as pause } from 'node:timers/promises'
import type { Batch } from '../ledger/batch.ts'
import type { Ledger } from '../ledger/ledger.ts'
import { openingUndone } from '../ledger/newest-batch.ts'
import type { RuleOfThumb } from '../model/rules-of-thumb.ts'
import type { BatchReports } from '../report/batch-report.ts'
import type { TrialView } from '../wire.ts'
import { siteClock } from '../wording/site-clock.ts'
import { type BatchCurves, batchCurves } from './batch-curves.ts'
import { type BatchFacts, batchFacts } from './batch-facts.ts'
import type { KeptFacts } from './kept-facts.ts'
import { type MemberFacts, memberFacts } from './member-facts.ts'
import { overVolume } from './over-volume.ts'
import { provenSince } from './proven-since.ts'
import type { Member, Trial } from './trial.ts'
import type { Glance } from './trial-heads.ts'
import { trialView } from './trial-view.ts'

interface Parts {
  readonly ledger: Pick<Ledger, 'head' | 'ofKind'>
  readonly reports: Pick<BatchReports, 'batch' | 'summary' | 'analysed' | 'calibrationsUsed' | 'keyOf'>
  readonly rulesOfThumb: () => readonly RuleOfThumb[]
  readonly zone: string
  readonly version: string
  readonly kept: KeptFacts
  /** Milliseconds since 1970; the machine's own when left out. */
  readonly now?: () => number
}

/** How many batches of a trial are worked out. */
export interface Progress {
  readonly done: number
  readonly of: number
}

/** Of what is kept: another one when `BatchFacts` or `BatchCurves` change, so that older ones are worked out again. */
const FORMAT = 1
const MOST_REMEMBERED = 5000
/** Between two batches others get at least as much of the processor as the batch took, ms. */
const LEAST_PAUSE_MS = 5
const LOOKS_EVERY_MS = 20
/** Kept batches that are read before others get their turn. */
const AT_A_TIME = 25

/** Trials worked out from the reports of their batches; a finished batch is worked out once until its record changes. */
export class TrialReports {
  private readonly parts: Parts
  private readonly known = new Map<string, { readonly key: string; readonly facts: BatchFacts }>()
  private isWorking = false
  private readonly wanted = new Set<string>()
  private readonly failed = new Set<string>()
  private closed = false

  constructor(parts: Parts) {
    this.parts = parts
  }

  /** Works out at once what is missing of it. `trials`: all of the clinic; what is known of those stands beside it. */
  view(
    trial: Trial,
    trials: readonly Trial[],
    tell: (progress: Progress) => void = () => undefined,
  ): TrialView {
    const { ledger, rulesOfThumb } = this.parts
    const batches = this.batchesOf(trial)
    const members = batches.map(({ member, batch }, i): MemberFacts => {
      tell({ done: i, of: batches.length })
      return memberFacts(trial, member, this.factsOf(batch))
    })
    const { entries, head } = ledger.head()
    const since = provenSince(members, ledger.ofKind('calibration'), (this.parts.now ?? Date.now)())
    return {
      ...trialView(trial, members, rulesOfThumb(), since),
      over_volume: overVolume(trial, trials, (other) =>
        other.id === trial.id ? members : this.knownMembers(other),
      ),
      simulated: members.some((m) => m.facts.summary.head.simulated),
      ledger_entries: entries,
      ledger_head: head,
    }
  }

  /**
   * How far it is. Begins to work out what is missing, batch by batch, letting everything else in between, and waits for it
   * at most so long. One that cannot be worked out counts as done: looking at the trial then says why.
   */
  async ready(trial: Trial, mostMs: number): Promise<Progress> {
    const batches = this.batchesOf(trial).filter(({ batch }) => batch.discardedAt !== null)
    const missing: typeof batches = []
    for (const [i, row] of batches.entries()) {
      if (i % AT_A_TIME === AT_A_TIME - 1) await immediate()
      if (!this.find(row.batch) && !this.failed.has(this.ofNow(row.batch))) missing.push(row)
    }
    // the oldest first: each is worked out knowing those before it, which then are known
    const inOrder = [...missing].sort((a, b) => Date.parse(a.batch.openedAt) - Date.parse(b.batch.openedAt))
    for (const { batch } of inOrder) this.wanted.add(batch.id)
    const until = performance.now() + mostMs
    const left = () => missing.filter(({ batch }) => this.wanted.has(batch.id)).length
    if (left() > 0 && !this.isWorking) void this.workOut()
    while (left() > 0 && performance.now() < until) await pause(LOOKS_EVERY_MS)
    return { done: batches.length - left(), of: batches.length }
  }

  /** Works nothing out any more. */
  close(): void {
    this.wanted.clear()
    this.closed = true
    this.parts.kept.close()
  }

  /** Curves, bands and residuals of a batch of the trial. */
  curves(batch: Batch): BatchCurves {
    const key = this.keyOf(batch)
    const kept = batch.discardedAt === null ? undefined : this.parts.kept.curves(batch.id, key)
    return kept ?? this.work(batch, key).curves
  }

  glanceAt(id: string): Glance {
    const batch = this.parts.reports.batch(id)
    return {
      facts: this.known.get(id)?.facts,
      givenUp: batch !== undefined && batch.discardedAt !== null && batch.ozoneOnAt.length === 0,
    }
  }

  /** Undefined unless all its finished batches are known. */
  private knownMembers(trial: Trial): MemberFacts[] | undefined {
    const members: MemberFacts[] = []
    for (const { member, batch } of this.batchesOf(trial)) {
      if (batch.discardedAt === null) continue
      const facts = this.find(batch)
      if (!facts) return undefined
      members.push(memberFacts(trial, member, facts))
    }
    return members
  }

  batchesOf(trial: Trial): { readonly member: Member; readonly batch: Batch }[] {
    return trial.members.flatMap((member) => {
      const batch = this.parts.reports.batch(member.batch)
      return batch && !openingUndone(batch) ? [{ member, batch }] : []
    })
  }

  private async workOut(): Promise<void> {
    this.isWorking = true
    for (const id of this.wanted) {
      if (this.closed) return
      const began = performance.now()
      const batch = this.parts.reports.batch(id)
      if (batch) this.tryOut(batch)
      this.wanted.delete(id)
      await pause(Math.max(LEAST_PAUSE_MS, performance.now() - began))
    }
    this.isWorking = false
  }

  private tryOut(batch: Batch): void {
    try {
      this.factsOf(batch)
    } catch {
      this.failed.add(this.ofNow(batch))
    }
  }

  private ofNow(batch: Batch): string {
    return `${batch.id}/${this.keyOf(batch)}`
  }

  private keyOf(batch: Batch): string {
    return `${FORMAT}/${this.parts.version}/${this.parts.zone}/${this.parts.reports.keyOf(batch)}`
  }

  private find(batch: Batch): BatchFacts | undefined {
    const key = this.keyOf(batch)
    const known = this.known.get(batch.id)
    if (known?.key === key) return known.facts
    const kept = this.parts.kept.facts(batch.id, key)
    if (kept) this.remember(batch.id, key, kept)
    return kept
  }

  private factsOf(batch: Batch): BatchFacts {
    const found = batch.discardedAt === null ? undefined : this.find(batch)
    return found ?? this.work(batch, this.keyOf(batch)).facts
  }

  private work(batch: Batch, key: string): { readonly facts: BatchFacts; readonly curves: BatchCurves } {
    const { reports, zone, kept } = this.parts
    const used = reports.calibrationsUsed(batch) ?? []
    const { curves: fitted, ...analysed } = reports.analysed(batch)
    const facts = batchFacts({
      summary: reports.summary(batch),
      ...analysed,
      calibratedIn: used.flatMap((c) => c.data.fluid ?? []),
      calibrations: used.map(({ at, data: { instrument, method, slope, zero, u_slope_percent } }) => ({
        ...{ instrument, at, method, slope, zero, u_slope_percent },
      })),
      day: siteClock(zone).day(batch.openedAt),
    })
    const curves = batchCurves(fitted)
    if (batch.discardedAt !== null) {
      kept.put(batch.id, key, facts, curves)
      this.remember(batch.id, key, facts)
    }
    return { facts, curves }
  }

  private remember(batch: string, key: string, facts: BatchFacts): void {
    this.known.set(batch, { key, facts })
    if (this.known.size > MOST_REMEMBERED) this.known.delete(this.known.keys().next().value ?? '')
  }
}
