import { describe, expect, it } from 'vitest'
import { planTrial } from '../../../server/trial/change-trial.ts'
import { type Glance, trialHeads } from '../../../server/trial/trial-heads.ts'
import { trialsOf } from '../../../server/trial/trials-of.ts'
import { newEntry, OPENED, temporaryLedger } from '../../support/entries.ts'
import { PREP_PLAN, TRIAL, trialChange } from '../../support/trial.ts'
import { facts } from '../../support/trial-facts.ts'

const BATCH = '01900000-0000-7000-8000-0000000001ff'

/** A trial with one batch opened for it, and what is seen of that batch at a glance. */
const nextWith = (glance: Partial<Glance>) => {
  const { ledger } = temporaryLedger()
  planTrial(ledger, trialChange(0), PREP_PLAN)
  const data = { ...OPENED, number: 'A-1', trial: TRIAL }
  ledger.append({ ...newEntry('batch-opened', 1, data), batch: BATCH })
  const [head] = trialHeads(ledger, trialsOf(ledger), () => ({ facts: undefined, givenUp: false, ...glance }))
  return head?.next?.run
}

describe('the next batch of a listed trial', () => {
  it('moves on with a batch that nobody has looked at yet', () => {
    expect(nextWith({})).toBe(2)
  })

  it('stays where the batch was given up before ozone was on, or is known to be off plan', () => {
    expect(nextWith({ givenUp: true })).toBe(1)
    expect(nextWith({ facts: facts(1, {}, { temperatureC: 30 }) })).toBe(1)
  })
})
