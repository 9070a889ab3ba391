import type { Action } from '../server/wire.ts'
import { numberTyped, textTyped, withoutNull } from './typed/typed.ts'

/** The form of a new batch as typed, all text. */
export type Plan = Readonly<
  Record<
    | 'fluid'
    | 'fluid_detail'
    | 'lot'
    | 'volume_ml'
    | 'target'
    | 'gas'
    | 'gas_reference'
    | 'flow'
    | 'prep'
    | 'age_limit'
    | 'temperature'
    | 'lead'
    | 'measuring_place'
    | 'purge',
    string
  >
>

export const EMPTY_PLAN: Plan = {
  fluid: '',
  fluid_detail: '',
  lot: '',
  volume_ml: '',
  target: '',
  gas: '',
  gas_reference: '',
  flow: '',
  prep: '',
  age_limit: '',
  temperature: '',
  lead: '',
  measuring_place: '',
  purge: '',
}

export type BatchDetails = Extract<Action, { kind: 'batch-opened' }>['data']

export type Planned =
  | { readonly kind: 'details'; readonly data: BatchDetails }
  | { readonly kind: 'refused'; readonly why: string }

/** What goes into the ledger, or the first thing that is still needed. Nothing is filled in for the person. */
export const batchDetails = (plan: Plan): Planned => {
  const volume_ml = numberTyped(plan.volume_ml)
  if (plan.fluid === '') return refused('Choose the fluid.')
  if (volume_ml === null || volume_ml < 10 || volume_ml > 5000)
    return refused('Type the volume, 10 to 5000 mL.')
  if (plan.measuring_place === '') return refused('Choose the measuring place.')
  if (plan.purge === '') return refused('Choose how the purge is done.')
  const wrong = NUMBERS.find(([key]) => plan[key].trim() !== '' && !(Number(numberTyped(plan[key])) > 0))
  if (wrong !== undefined) return refused(`${wrong[1]} must be a number above 0, or empty.`)
  const gas = numberTyped(plan.gas)
  if ((gas === null) !== (plan.gas_reference === ''))
    return refused('A gas value needs the state it is stated for, and the other way round.')
  const lead = numberTyped(plan.lead)
  if (lead !== null && lead < 2) return refused('From draw-up to use: at least 2 min.')
  const temperature = numberTyped(plan.temperature)
  if (plan.temperature.trim() !== '' && (temperature === null || temperature < 0 || temperature > 40))
    return refused('The planned fluid temperature must be a number from 0 to 40 °C, or empty.')
  const data = {
    fluid: plan.fluid,
    volume_ml,
    measuring_place: plan.measuring_place,
    purge: plan.purge,
    ...withoutNull({
      fluid_detail: textTyped(plan.fluid_detail),
      lot: textTyped(plan.lot),
      target_mg_l: numberTyped(plan.target),
      gas: gas === null ? null : { ug_per_ml: gas, reference: plan.gas_reference },
      flow_ml_per_min: numberTyped(plan.flow),
      prep_min: numberTyped(plan.prep),
      age_limit_min: numberTyped(plan.age_limit),
      lead_time_min: lead,
      temperature_c: temperature,
    }),
  }
  return { kind: 'details', data: data as BatchDetails }
}

const NUMBERS = [
  ['target', 'The value you set'],
  ['gas', 'The gas value'],
  ['flow', 'The gas flow'],
  ['prep', 'The prep time'],
  ['age_limit', 'The age limit'],
  ['lead', 'The time from draw-up to use'],
] as const

const refused = (why: string): Planned => ({ kind: 'refused', why })
