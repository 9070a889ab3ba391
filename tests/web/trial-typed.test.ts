import { describe, expect, it } from 'vitest'
import { trialPlan } from '../../server/ledger/entry.ts'
import { EMPTY_TRIAL, trialTyped } from '../../web/trial-typed.ts'
import { SHEET_SETTINGS } from '../support/method-sheet.ts'

const TEXT = { ...EMPTY_TRIAL, title: 'Spring', bench: 'A', low: '18', high: '22,5', seed: 'spring' }

describe('the form that plans a trial', () => {
  it('makes of a method sheet a plan that the record takes as it is', () => {
    const typed = trialTyped(TEXT, SHEET_SETTINGS)
    if (typed.kind !== 'data') throw new Error(typed.why)
    expect(trialPlan.parse(typed.data)).toEqual(typed.data)
    expect(typed.data).toMatchObject({
      kind: 'prep-time',
      prep_min: SHEET_SETTINGS.prep_min,
      target_mg_l: SHEET_SETTINGS.target_mg_l,
      ...{ batches: 5, days: 3, confidence_percent: 95, coverage_percent: 90 },
      limits: { temperature_low_c: 18, temperature_high_c: 22.5 },
    })
  })

  it('says what is missing, one thing at a time', () => {
    const why = (
      changes: Partial<typeof TEXT>,
      sheet: typeof SHEET_SETTINGS | undefined = SHEET_SETTINGS,
    ) => {
      const typed = trialTyped({ ...TEXT, ...changes }, sheet)
      return typed.kind === 'refused' ? typed.why : 'nothing'
    }
    expect(trialTyped(TEXT, undefined)).toMatchObject({ kind: 'refused', why: 'Choose a method sheet.' })
    expect(why({ title: ' ' })).toBe('Give the trial a name.')
    expect(why({ low: '23' })).toContain('the lower first')
    expect(why({ batches: '5.5' })).toContain('whole numbers')
    expect(why({ seed: '' })).toContain('seed')
    expect(why({})).toBe('nothing')
  })
})
