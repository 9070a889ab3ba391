import { describe, expect, it } from 'vitest'
import { verifyChain } from '../../../server/ledger/hash-chain.ts'
import {
  changePlan,
  closeTrial,
  excludeBatch,
  findTrial,
  joinBatch,
  openTrial,
  planTrial,
} from '../../../server/trial/change-trial.ts'
import { BATCH, newEntry, OPENED, temporaryLedger } from '../../support/entries.ts'
import { COMPARISON_PLAN, PREP_PLAN, TRIAL, trialChange } from '../../support/trial.ts'

const OTHER = '01900000-0000-7000-8000-000000000002'
const WHY = 'made in the week before, same bench and bottle'

/** A planned trial, a finished batch of before, and a batch that was opened for the trial. */
const create = () => {
  const { ledger } = temporaryLedger()
  ledger.append(newEntry('batch-opened', 0, OPENED))
  ledger.append(newEntry('discarded', 30, {}))
  planTrial(ledger, trialChange(40), PREP_PLAN)
  ledger.append(newEntry('batch-opened', 50, { ...OPENED, number: 'A-2', trial: TRIAL }, { batch: OTHER }))
  const trial = () => {
    const found = findTrial(ledger, TRIAL)
    if (!found) throw new Error('no trial')
    return found
  }
  return { ledger, trial }
}

describe('a trial in the ledger', () => {
  it('is planned once; a retry changes nothing, another plan under its id is a conflict', () => {
    const { ledger, trial } = create()
    const again = trialChange(41)
    expect(() => planTrial(ledger, again, PREP_PLAN)).toThrow(/planned already/)
    const first = ledger.ofKind('trial-planned')[0]
    expect(planTrial(ledger, trialChange(42, { id: first?.id ?? '' }), PREP_PLAN).seq).toBe(first?.seq)
    expect(trial().plan).toEqual(PREP_PLAN)
    expect(verifyChain([...ledger.all()])).toMatchObject({ ok: true })
  })

  it('holds batches opened for it, and past ones taken in with the reason', () => {
    const { ledger, trial } = create()
    joinBatch(ledger, trialChange(60, { why: WHY }), BATCH)
    expect(trial().members.map((m) => [m.batch, m.how, m.joined.why])).toEqual([
      [OTHER, 'opened', null],
      [BATCH, 'selected', WHY],
    ])
  })

  it('takes no batch twice, none that stands open, and none that does not exist', () => {
    const { ledger } = create()
    joinBatch(ledger, trialChange(60, { why: WHY }), BATCH)
    expect(() => joinBatch(ledger, trialChange(61, { why: WHY }), BATCH)).toThrow(
      /belongs to this trial already/,
    )
    expect(() => joinBatch(ledger, trialChange(61, { why: WHY }), OTHER)).toThrow(/A-2 is not finished/)
    expect(() => joinBatch(ledger, trialChange(61, { why: WHY }), TRIAL)).toThrow(/does not exist/)
  })

  it('keeps a batch that was left out in sight, with the reason, and takes it in again', () => {
    const { ledger, trial } = create()
    excludeBatch(ledger, trialChange(60, { why: 'tube slipped off' }), OTHER)
    expect(trial().members[0]?.excluded?.why).toBe('tube slipped off')
    expect(() => excludeBatch(ledger, trialChange(61, { why: 'again' }), OTHER)).toThrow(/left out already/)
    ledger.append(newEntry('discarded', 62, {}, { batch: OTHER }))
    joinBatch(ledger, trialChange(63, { why: 'it was another batch' }), OTHER)
    expect(trial().members[0]).toMatchObject({ how: 'opened', excluded: null })
  })

  it('changes its plan after the first batch only with a reason, and keeps both plans', () => {
    const { ledger, trial } = create()
    const plan = { ...PREP_PLAN, prep_min: 12 }
    expect(() => changePlan(ledger, trialChange(60), trial().newestSeq, plan)).toThrow(
      /1 batch belongs to this trial already/,
    )
    changePlan(ledger, trialChange(61, { why: 'weaker gas than thought' }), trial().newestSeq, plan)
    expect(trial().changes).toMatchObject([
      { before: { prep_min: 9 }, after: { prep_min: 12 }, batchesThen: 1 },
    ])
  })

  it('refuses a change by somebody who has not seen the newest entry, and a change of its kind', () => {
    const { ledger, trial } = create()
    const why = 'a reason'
    expect(() => changePlan(ledger, trialChange(60, { why }), 1, PREP_PLAN)).toThrow(/meanwhile/)
    expect(() => changePlan(ledger, trialChange(60, { why }), trial().newestSeq, COMPARISON_PLAN)).toThrow(
      /stays of its kind/,
    )
  })

  it('is over when it is closed: no batch, no change, no second closing', () => {
    const { ledger, trial } = create()
    const close = () =>
      closeTrial(ledger, trialChange(70), trial().newestSeq, () => ({
        answer: 'shown',
        sentence: 'It does.',
      }))
    close()
    expect(trial().closed?.data).toMatchObject({ answer: 'shown', sentence: 'It does.' })
    expect(close).toThrow(/is closed/)
    expect(() => joinBatch(ledger, trialChange(71, { why: WHY }), BATCH)).toThrow(/is closed/)
    expect(() => openTrial(ledger, TRIAL)).toThrow(/is closed/)
  })
})
