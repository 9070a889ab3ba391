import type { MethodSheet, PlanWanted } from '../../server/wire.ts'
import { numberTyped, refused, type Typed, withoutNull } from './typed.ts'

/** The planner's form as typed, all text. Nothing is filled in for the person. */
export type PlanText = Readonly<
  Record<
    | 'fluid'
    | 'volume'
    | 'temperature'
    | 'gas'
    | 'gas_reference'
    | 'flow'
    | 'target'
    | 'prep'
    | 'purge'
    | 'purge_min'
    | 'room'
    | 'room_c'
    | 'pressure',
    string
  >
>

export const EMPTY_PLAN_TEXT: PlanText = {
  fluid: '',
  volume: '',
  temperature: '',
  gas: '',
  gas_reference: '',
  flow: '',
  target: '',
  prep: '',
  purge: '',
  purge_min: '',
  room: '',
  room_c: '',
  pressure: '',
}

interface Range {
  readonly key: keyof PlanText
  readonly name: string
  readonly least: number
  readonly most: number
  readonly unit: string
  readonly needed: boolean
}

const RANGES: readonly Range[] = [
  { key: 'volume', name: 'volume', least: 10, most: 5000, unit: 'mL', needed: true },
  { key: 'temperature', name: 'fluid temperature', least: 0, most: 40, unit: '°C', needed: true },
  { key: 'gas', name: 'gas value', least: 0.1, most: 300, unit: 'µg/mL', needed: true },
  { key: 'flow', name: 'gas flow', least: 0.1, most: 10_000, unit: 'mL/min', needed: true },
  { key: 'target', name: 'value to reach', least: 0.1, most: 200, unit: 'µg/mL', needed: false },
  { key: 'prep', name: 'prep time', least: 0.1, most: 240, unit: 'min', needed: false },
  { key: 'purge_min', name: 'length of the purge', least: 0, most: 60, unit: 'min', needed: false },
  { key: 'room', name: 'room volume', least: 1, most: 10_000, unit: 'm³', needed: false },
  { key: 'room_c', name: 'room temperature', least: 0, most: 45, unit: '°C', needed: false },
  { key: 'pressure', name: 'air pressure', least: 50, most: 110, unit: 'kPa', needed: false },
]

/** What is asked, or everything that is still needed or wrong. */
export const planTyped = (text: PlanText): Typed<PlanWanted> => {
  const faults = [
    ...CHOICES.filter(([key]) => text[key] === '').map(([, words]) => words),
    ...RANGES.flatMap((range) => faultOf(range, text[range.key])),
    ...(text.purge !== '' && text.purge !== 'none' && text.purge_min.trim() === ''
      ? ['length of the purge (0 to 60 min)']
      : []),
  ]
  if (faults.length > 0) return refused(`Still needed: ${faults.join(', ')}.`)
  const number = (key: keyof PlanText) => numberTyped(text[key])
  const data = {
    fluid: text.fluid,
    volume_ml: number('volume'),
    temperature_c: number('temperature'),
    gas: { ug_per_ml: number('gas'), reference: text.gas_reference },
    flow_ml_per_min: number('flow'),
    purge: text.purge,
    purge_min: text.purge === 'none' ? 0 : number('purge_min'),
    ...withoutNull({
      target_mg_l: number('target'),
      prep_min: number('prep'),
      room_m3: number('room'),
      room_c: number('room_c'),
      pressure_kpa: number('pressure'),
    }),
  }
  return { kind: 'data', data: data as PlanWanted }
}

const CHOICES = [
  ['fluid', 'the fluid'],
  ['gas_reference', 'what the gas value is stated for'],
  ['purge', 'how the purge is done'],
] as const

const faultOf = ({ name, least, most, unit, needed }: Range, typed: string): string[] => {
  if (typed.trim() === '') return needed ? [name] : []
  const value = numberTyped(typed)
  return value !== null && value >= least && value <= most ? [] : [`${name} from ${least} to ${most} ${unit}`]
}

/** The planner filled from a sheet; what a sheet does not hold stays as it is. */
export const planOfSheet = (sheet: MethodSheet, text: PlanText): PlanText => ({
  ...text,
  fluid: sheet.fluid,
  volume: String(sheet.volume_ml),
  temperature: sheet.temperature_c === undefined ? text.temperature : String(sheet.temperature_c),
  gas: String(sheet.gas.ug_per_ml),
  gas_reference: sheet.gas.reference,
  flow: String(sheet.flow_ml_per_min),
  target: String(sheet.target_mg_l),
  prep: String(sheet.prep_min),
  purge: sheet.purge,
})

/** What a new sheet takes from a plan; name, limits, measuring place and steps are still to be typed. */
export const sheetOfPlan = (plan: PlanWanted): Partial<MethodSheet> => {
  const { fluid, volume_ml, temperature_c, gas, flow_ml_per_min, target_mg_l, prep_min, purge } = plan
  return {
    fluid,
    volume_ml,
    temperature_c,
    gas,
    flow_ml_per_min,
    purge,
    ...withoutNull({ target_mg_l: target_mg_l ?? null, prep_min: prep_min ?? null }),
  }
}
