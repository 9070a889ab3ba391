import type { MethodSheet, PlanTrial } from '../server/wire.ts'
import { numberTyped, refused, type Typed } from './typed.ts'

/** The form that plans a prep-time trial from a method sheet, as typed: all text. */
export type TrialText = Readonly<
  Record<'title' | 'bench' | 'low' | 'high' | 'gas' | 'flow' | 'batches' | 'days' | 'seed', string>
>

/** The numbers a trial starts from: 5 batches on 3 days; gas and flow within 5 %. */
export const EMPTY_TRIAL: TrialText = {
  ...{ title: '', bench: '', low: '', high: '', gas: '5', flow: '5', batches: '5', days: '3', seed: '' },
}

/** A filling line is read to about this, % of the volume. From memory. */
const VOLUME_PERCENT = 5
const DEFAULTS = { confidence_percent: 95, coverage_percent: 90 } as const

/** The plan that proves the prep time of a sheet: 95 % of what it levels off at, and its target. */
export const trialTyped = (text: TrialText, sheet: MethodSheet | undefined): Typed<PlanTrial['plan']> => {
  if (sheet === undefined) return refused('Choose a method sheet.')
  if (text.title.trim() === '') return refused('Give the trial a name.')
  if (text.bench === '') return refused('Choose the bench.')
  const [low, high, gas, flow, batches, days] = [
    text.low,
    text.high,
    text.gas,
    text.flow,
    text.batches,
    text.days,
  ].map(numberTyped)
  if (low == null || high == null || low >= high)
    return refused('Give the temperatures between which a batch counts, the lower first.')
  if (gas == null || flow == null) return refused('Give how far gas and flow may lie from the sheet, in %.')
  if (batches == null || days == null || !Number.isInteger(batches) || !Number.isInteger(days))
    return refused('Give the number of batches and of days, whole numbers.')
  if (text.seed.trim() === '') return refused('Give any word as the seed of the run order.')
  return {
    kind: 'data',
    data: {
      kind: 'prep-time',
      title: text.title.trim(),
      fluid: sheet.fluid,
      ...(sheet.fluid_detail === undefined ? {} : { fluid_detail: sheet.fluid_detail }),
      ...{ volume_ml: sheet.volume_ml, gas: sheet.gas, flow_ml_per_min: sheet.flow_ml_per_min },
      ...{ purge: sheet.purge, target_mg_l: sheet.target_mg_l, prep_min: sheet.prep_min },
      benches: [text.bench],
      criterion: { kind: 'fraction', percent: 95 },
      limits: {
        ...{ gas_percent: gas, flow_percent: flow, volume_percent: VOLUME_PERCENT },
        ...{ temperature_low_c: low, temperature_high_c: high },
      },
      ...DEFAULTS,
      ...{ batches, days, seed: text.seed.trim() },
    },
  }
}
