import { describe, expect, it } from 'vitest'
import type { Ledger } from '../../../server/ledger/ledger.ts'
import { writeSheet } from '../../../server/method-sheet/change-sheet.ts'
import type { MethodSheet } from '../../../server/method-sheet/method-sheet.ts'
import { rulesOf, settingsOfSheet } from '../../../server/method-sheet/sheet-of-batch.ts'
import { sheetsOf } from '../../../server/method-sheet/sheets-of.ts'
import { prepTimeTrial, whyNotShown } from '../../../server/method-sheet/shown-prep-time.ts'
import { closeTrial, planTrial } from '../../../server/trial/change-trial.ts'
import { trialsOf } from '../../../server/trial/trials-of.ts'
import { temporaryLedger } from '../../support/entries.ts'
import { changeBy, SHEET_SETTINGS } from '../../support/method-sheet.ts'
import { COMPARISON_PLAN, PREP_PLAN, TRIAL, trialChange } from '../../support/trial.ts'

const PLAN = { ...PREP_PLAN, prep_min: SHEET_SETTINGS.prep_min, target_mg_l: 15 }
const SETTINGS: MethodSheet = { ...SHEET_SETTINGS, prep_time_shown_by: TRIAL }

const close = (ledger: Ledger, answer: 'shown' | 'not-shown') =>
  closeTrial(ledger, trialChange(2), trialsOf(ledger)[0]?.newestSeq ?? 0, () => ({
    answer,
    sentence: 'So it is.',
  }))

/** A ledger with a trial closed with this answer. */
const closed = (answer: 'shown' | 'not-shown' = 'shown') => {
  const { ledger } = temporaryLedger()
  planTrial(ledger, trialChange(1), PLAN)
  close(ledger, answer)
  return ledger
}

describe('a prep time that a trial showed', () => {
  it('is named by the version that rests on it, with where it was shown', () => {
    const ledger = closed()
    writeSheet(ledger, changeBy('Ruth'), 0, SETTINGS)
    const settings = sheetsOf(ledger)[0]?.versions[0]?.settings
    expect(settings?.prep_time_shown_by).toBe(TRIAL)
    expect(prepTimeTrial(SETTINGS, trialsOf(ledger))).toMatchObject({
      ...{ id: TRIAL, title: PLAN.title, closed_by: 'Ines', benches: ['A'] },
      ...{ confidence_percent: 95, coverage_percent: 90 },
    })
  })

  it('is not shown where no trial is named', () => {
    expect(prepTimeTrial(SHEET_SETTINGS, trialsOf(closed()))).toBeNull()
  })

  it.each<[Partial<MethodSheet>, string]>([
    [{ volume_ml: 500 }, 'was made with a volume of 250 mL'],
    [{ flow_ml_per_min: 400 }, 'a gas flow of 500 mL/min'],
    [{ gas: { ug_per_ml: 70, reference: 'normal-0c-101kpa' } }, 'a gas value of 60 µg/mL'],
    [{ gas: { ug_per_ml: 60, reference: 'ambient' } }, 'a gas value stated for another state'],
    [{ prep_min: 6 }, 'a prep time of 7 min'],
    [{ prep_min: 8 }, 'a prep time of 7 min'],
    [{ purge: 'none' }, 'another way of purging'],
    [{ fluid: 'distilled' }, 'another fluid'],
    [{ target_mg_l: 16 }, 'a target of 15 µg/mL only'],
  ])('cannot be claimed with other settings: %o', (change, words) => {
    const ledger = closed()
    expect(() => writeSheet(ledger, changeBy('Ruth'), 0, { ...SETTINGS, ...change })).toThrow(words)
    expect(prepTimeTrial({ ...SETTINGS, ...change }, trialsOf(ledger))).toBeNull()
  })

  it('holds for a lower target too', () => {
    expect(whyNotShown({ ...SETTINGS, target_mg_l: 12 }, trialsOf(closed()))).toBeNull()
  })

  it('cannot be claimed of a trial that is open, showed nothing, compares fluids or does not exist', () => {
    const { ledger } = temporaryLedger()
    expect(whyNotShown(SETTINGS, [])).toBe('there is no such trial')
    planTrial(ledger, trialChange(1), PLAN)
    expect(whyNotShown(SETTINGS, trialsOf(ledger))).toContain('is not closed')
    expect(whyNotShown(SETTINGS, trialsOf(closed('not-shown')))).toContain('was closed without showing it')
    const fluids = temporaryLedger().ledger
    planTrial(fluids, trialChange(1), COMPARISON_PLAN)
    close(fluids, 'shown')
    expect(whyNotShown(SETTINGS, trialsOf(fluids))).toContain('compares fluids')
  })

  it('is no setting of a batch', () => {
    expect(settingsOfSheet(SETTINGS)).toEqual(settingsOfSheet(SHEET_SETTINGS))
    expect(rulesOf(SETTINGS)).toEqual(rulesOf(SHEET_SETTINGS))
  })
})
