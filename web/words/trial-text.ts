import { v7 } from 'uuid'
import type { MethodSheet, PlanTrial } from '../../server/wire.ts'

type TrialPlan = PlanTrial['plan']
export type TrialKind = TrialPlan['kind']

/** The form that plans a trial, as typed: all text. */
export type TrialText = Readonly<
  Record<
    | 'title'
    | 'fluid'
    | 'fluid_detail'
    | 'volume'
    | 'gas'
    | 'gas_reference'
    | 'flow'
    | 'purge'
    | 'place'
    | 'target'
    | 'prep'
    | 'criterion'
    | 'percent'
    | 'low'
    | 'high'
    | 'gas_off'
    | 'flow_off'
    | 'volume_off'
    | 'confidence'
    | 'coverage'
    | 'batches'
    | 'days'
    | 'seed'
    | 'temperature'
    | 'margin',
    string
  >
>

export type GroupText = Readonly<Record<'name' | 'fluid' | 'fluid_detail' | 'lot', string>>

export interface TrialForm {
  readonly kind: TrialKind
  readonly text: TrialText
  readonly benches: readonly string[]
  readonly groups: readonly GroupText[]
}

export const EMPTY_GROUP: GroupText = { name: '', fluid: '', fluid_detail: '', lot: '' }

/** A filling line is read to about this, % of the volume. From memory. */
const VOLUME_PERCENT = '5'

/** The numbers a trial starts from: 95 % confidence, 90 % of batches, 5 batches on 3 days, gas and flow within 5 %. */
const EMPTY_TEXT: TrialText = {
  ...{ title: '', fluid: '', fluid_detail: '', volume: '', gas: '', gas_reference: '', flow: '' },
  ...{ purge: '', place: '', target: '', prep: '', criterion: 'fraction', percent: '95' },
  ...{ low: '', high: '', gas_off: '5', flow_off: '5', volume_off: VOLUME_PERCENT },
  ...{ confidence: '95', coverage: '90', batches: '5', days: '3', temperature: '20', margin: '' },
  seed: '',
}

/** Drawn, so that nobody chooses the run order; it may be typed over. */
const drawnSeed = (): string => v7().slice(-8)

export const newTrial = (kind: TrialKind): TrialForm => ({
  kind,
  text: { ...EMPTY_TEXT, seed: drawnSeed() },
  benches: [],
  groups: [EMPTY_GROUP, EMPTY_GROUP],
})

/** Filled from a method sheet; what a sheet does not hold stays as it is. */
export const withSheet = (form: TrialForm, sheet: MethodSheet): TrialForm => ({
  ...form,
  text: {
    ...form.text,
    ...{ fluid: sheet.fluid, fluid_detail: sheet.fluid_detail ?? '', volume: String(sheet.volume_ml) },
    ...{ gas: String(sheet.gas.ug_per_ml), gas_reference: sheet.gas.reference },
    ...{ flow: String(sheet.flow_ml_per_min), purge: sheet.purge, place: sheet.measuring_place },
    ...{ target: String(sheet.target_mg_l), prep: String(sheet.prep_min) },
  },
})

/** A plan as its form shows it, to change it. */
export const formOf = (plan: TrialPlan): TrialForm => {
  const { limits } = plan
  const text = (value: number | undefined) => (value === undefined ? '' : String(value))
  const common: TrialText = {
    ...EMPTY_TEXT,
    ...{ title: plan.title, volume: text(plan.volume_ml), flow: text(plan.flow_ml_per_min) },
    ...{
      gas: text(plan.gas.ug_per_ml),
      gas_reference: plan.gas.reference,
      place: plan.measuring_place ?? '',
    },
    ...{ low: text(limits.temperature_low_c), high: text(limits.temperature_high_c) },
    ...{ gas_off: text(limits.gas_percent), flow_off: text(limits.flow_percent) },
    ...{ volume_off: text(limits.volume_percent), confidence: text(plan.confidence_percent) },
    ...{ batches: text(plan.batches), days: text(plan.days), seed: plan.seed },
    ...{ purge: plan.purge ?? '', prep: text(plan.prep_min) },
  }
  if (plan.kind === 'prep-time')
    return {
      kind: plan.kind,
      text: {
        ...common,
        ...{ fluid: plan.fluid, fluid_detail: plan.fluid_detail ?? '', target: text(plan.target_mg_l) },
        ...{ criterion: plan.criterion.kind, coverage: text(plan.coverage_percent) },
        percent: plan.criterion.kind === 'fraction' ? text(plan.criterion.percent) : '95',
      },
      benches: plan.benches,
      groups: [EMPTY_GROUP, EMPTY_GROUP],
    }
  return {
    kind: plan.kind,
    text: { ...common, temperature: text(plan.temperature_c), margin: text(plan.margin_percent) },
    benches: plan.benches ?? [],
    groups: plan.groups.map((g) => ({
      ...{ name: g.name, fluid: g.fluid, fluid_detail: g.fluid_detail ?? '', lot: g.lot ?? '' },
    })),
  }
}
