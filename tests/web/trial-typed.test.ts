import { describe, expect, it } from 'vitest'
import { trialPlan } from '../../server/ledger/entry.ts'
import { trialTyped } from '../../web/typed/trial-typed.ts'
import {
  EMPTY_GROUP,
  formOf,
  newTrial,
  type TrialForm,
  type TrialText,
  withSheet,
} from '../../web/words/trial-text.ts'
import { SHEET_SETTINGS } from '../support/method-sheet.ts'
import { COMPARISON_PLAN, PREP_PLAN } from '../support/trial.ts'

const changed = (form: TrialForm, text: Partial<TrialText>): TrialForm => ({
  ...form,
  text: { ...form.text, ...text },
})
const PREP: TrialForm = {
  ...changed(withSheet(newTrial('prep-time'), SHEET_SETTINGS), { title: 'Spring', low: '18', high: '22,5' }),
  benches: ['A'],
}
const COMPARISON: TrialForm = {
  ...changed(withSheet(newTrial('fluid-comparison'), SHEET_SETTINGS), {
    ...{ title: 'Fluids', low: '18', high: '22', margin: '10' },
  }),
  groups: [
    { ...EMPTY_GROUP, name: 'Saline', fluid: 'saline' },
    { ...EMPTY_GROUP, name: 'Distilled', fluid: 'distilled', lot: 'D 7' },
  ],
}
const planOf = (form: TrialForm) => {
  const typed = trialTyped(form)
  if (typed.kind !== 'data') throw new Error(typed.why)
  return typed.data
}

describe('the form that plans a trial', () => {
  it('makes of a method sheet a plan that the record takes as it is', () => {
    const plan = planOf(PREP)
    expect(trialPlan.parse(plan)).toEqual(plan)
    expect(plan).toMatchObject({
      ...{ kind: 'prep-time', prep_min: SHEET_SETTINGS.prep_min, target_mg_l: SHEET_SETTINGS.target_mg_l },
      ...{ batches: 5, days: 3, confidence_percent: 95, coverage_percent: 90, benches: ['A'] },
      limits: { temperature_low_c: 18, temperature_high_c: 22.5 },
    })
  })

  it('makes a comparison of fluids, each of any lot or of one', () => {
    const plan = planOf(COMPARISON)
    expect(trialPlan.parse(plan)).toEqual(plan)
    expect(plan).toMatchObject({
      groups: [
        { name: 'Saline', fluid: 'saline' },
        { name: 'Distilled', fluid: 'distilled', lot: 'D 7' },
      ],
      ...{ margin_percent: 10, temperature_c: 20 },
    })
    expect(plan).not.toHaveProperty('benches')
  })

  it('draws another run order for each new trial', () => {
    expect(newTrial('prep-time').text.seed).toMatch(/^[0-9a-f]{8}$/)
    const seeds = Array.from({ length: 20 }, () => newTrial('prep-time').text.seed)
    expect(new Set(seeds).size).toBe(20)
  })

  it('shows a plan as it is, so that what nobody touches does not change', () => {
    const full = { ...PREP_PLAN, measuring_place: 'aliquot' as const }
    expect(planOf(formOf(full))).toEqual(full)
    const comparison = {
      ...COMPARISON_PLAN,
      ...{ measuring_place: 'flow-cell' as const, purge: 'none' as const, prep_min: 12, benches: ['A', 'B'] },
    }
    expect(planOf(formOf(comparison))).toEqual(comparison)
  })

  it('says everything that is missing, at once', () => {
    const typed = trialTyped(newTrial('prep-time'))
    const why = typed.kind === 'refused' ? typed.why : ''
    for (const words of [
      'the name of the trial',
      'the fluid',
      'volume from 10 to 5000 mL',
      'at least one bench',
    ])
      expect(why).toContain(words)
    expect(why).not.toContain('margin')
    const other = trialTyped(newTrial('fluid-comparison'))
    expect(other.kind === 'refused' && other.why).toMatch(/a name for each group.*the fluid of each group/)
  })

  it('refuses what does not go together', () => {
    const why = (form: TrialForm) => {
      const typed = trialTyped(form)
      return typed.kind === 'refused' ? typed.why : 'nothing'
    }
    expect(why(changed(PREP, { low: '23' }))).toContain('the lower first')
    expect(why(changed(PREP, { batches: '5.5' }))).toContain('a whole number')
    expect(why(changed(PREP, { batches: '2' }))).toContain('batches from 3 to 200')
    expect(why(changed(PREP, { fluid: 'other' }))).toContain('which fluid it is')
    const twice = COMPARISON.groups.map((g) => ({ ...g, name: 'Same' }))
    expect(why({ ...COMPARISON, groups: twice })).toContain('another name for each group')
    expect(why(PREP)).toBe('nothing')
  })
})
