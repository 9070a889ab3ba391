import { ServerError } from '../errors.ts'
import { foldBatch } from '../ledger/batch.ts'
import type { Entry, EntryData, EntryKind } from '../ledger/entry.ts'
import type { Ledger } from '../ledger/ledger.ts'
import { openingUndone } from '../ledger/newest-batch.ts'
import { appendSiteEntry, type SiteChange, repeatedOr as sameIdOr } from '../ledger/site-entry.ts'
import type { Trial, TrialPlan } from './trial.ts'
import { trialsOf } from './trials-of.ts'

export interface TrialChange extends SiteChange {
  readonly trial: string
}

/** Fixes the plan of a new trial, before its first batch. Throws `conflict` when the trial is planned already. */
export const planTrial = (ledger: Ledger, change: TrialChange, plan: TrialPlan): Entry =>
  repeatedOr(ledger, change, 'trial-planned', () => {
    if (findTrial(ledger, change.trial))
      throw new ServerError('conflict', 'this trial is planned already', {
        fix: 'change its plan, or make a new id for another trial',
      })
    return appendSiteEntry(ledger, change, 'trial-planned', { trial: change.trial, plan })
  })

/** Another plan from now on; once batches belong to the trial only with the reason, which the report shows. */
export const changePlan = (ledger: Ledger, change: TrialChange, afterSeq: number, plan: TrialPlan): Entry =>
  repeatedOr(ledger, change, 'trial-changed', () => {
    const trial = openTrial(ledger, change.trial)
    checkSeen(trial, afterSeq)
    if (plan.kind !== trial.plan.kind)
      throw notPossible('a trial stays of its kind', 'plan another trial and close this one')
    if (trial.members.length > 0 && change.why === null)
      throw notPossible(
        `the plan is fixed: ${trial.members.length} ${trial.members.length === 1 ? 'batch belongs' : 'batches belong'} to this trial already`,
        'give the reason for the change; the report shows both plans and the reason',
      )
    return appendSiteEntry(ledger, change, 'trial-changed', { trial: change.trial, plan })
  })

/** Takes a batch of the past into the trial, for a reason. */
export const joinBatch = (ledger: Ledger, change: TrialChange, batch: string): Entry =>
  repeatedOr(ledger, change, 'trial-batch-joined', () => {
    const trial = openTrial(ledger, change.trial)
    const found = foldBatch(ledger.ofBatch(batch))
    if (!found || openingUndone(found))
      throw new ServerError('not-found', `batch ${batch} does not exist`, { fix: 'see /api/batches' })
    const { number } = found.settings
    if (found.discardedAt === null)
      throw notPossible(`batch ${number} is not finished`, 'take it in once it is discarded')
    if (trial.members.some((m) => m.batch === batch && m.excluded === null))
      throw notPossible(`batch ${number} belongs to this trial already`)
    return appendSiteEntry(ledger, change, 'trial-batch-joined', { trial: change.trial, batch })
  })

/** Leaves a batch out, for a reason. It stays visible, and results are given with and without it. */
export const excludeBatch = (ledger: Ledger, change: TrialChange, batch: string): Entry =>
  repeatedOr(ledger, change, 'trial-batch-excluded', () => {
    const member = openTrial(ledger, change.trial).members.find((m) => m.batch === batch)
    if (!member)
      throw new ServerError('not-found', `batch ${batch} does not belong to this trial`, {
        fix: 'see the trial for its batches',
      })
    if (member.excluded !== null) throw notPossible('this batch is left out already')
    return appendSiteEntry(ledger, change, 'trial-batch-excluded', { trial: change.trial, batch })
  })

/** Ends the trial with what it came to; nothing is changed in it after that. */
export const closeTrial = (
  ledger: Ledger,
  change: TrialChange,
  afterSeq: number,
  outcome: (trial: Trial) => Omit<EntryData<'trial-closed'>, 'trial'>,
): Entry =>
  repeatedOr(ledger, change, 'trial-closed', () => {
    const trial = openTrial(ledger, change.trial)
    checkSeen(trial, afterSeq)
    return appendSiteEntry(ledger, change, 'trial-closed', { trial: change.trial, ...outcome(trial) })
  })

export const findTrial = (ledger: Pick<Ledger, 'ofKind'>, id: string): Trial | undefined =>
  trialsOf(ledger).find((t) => t.id === id)

/** The trial, when batches and changes are still taken. Throws `not-found`, or `not-possible-now` when it is closed. */
export const openTrial = (ledger: Pick<Ledger, 'ofKind'>, id: string): Trial => {
  const trial = findTrial(ledger, id)
  if (!trial) throw new ServerError('not-found', `trial ${id} does not exist`, { fix: 'see /api/trials' })
  if (trial.closed !== null) throw notPossible('this trial is closed', 'plan another one')
  return trial
}

const checkSeen = (trial: Trial, afterSeq: number): void => {
  if (trial.newestSeq !== afterSeq)
    throw new ServerError('conflict', 'something was entered for this trial meanwhile', {
      fix: 'look at the trial again, then decide',
    })
}

const notPossible = (why: string, fix?: string): ServerError =>
  new ServerError('not-possible-now', why, fix === undefined ? {} : { fix })

const repeatedOr = (ledger: Ledger, { id, trial }: TrialChange, kind: EntryKind, write: () => Entry): Entry =>
  sameIdOr(
    ledger,
    id,
    (there) => there.kind === kind && 'trial' in there.data && there.data.trial === trial,
    write,
  )
