import type { PlanTrial } from '../../server/wire.ts'
import type { GroupText, TrialForm, TrialKind, TrialText } from '../words/trial-text.ts'
import { numberTyped, refused, type Typed, textTyped, withoutNull } from './typed.ts'

type TrialPlan = PlanTrial['plan']

/** The plan as typed, or everything that is still needed or wrong. */
export const trialTyped = (form: TrialForm): Typed<TrialPlan> => {
  const { kind, text } = form
  const faults = [
    ...(text.title.trim() === '' ? ['the name of the trial'] : []),
    ...CHOICES.filter((c) => c.of.includes(kind) && text[c.key] === '').map((c) => c.name),
    ...(text.fluid === 'other' && kind === 'prep-time' && text.fluid_detail.trim() === ''
      ? ['which fluid it is']
      : []),
    ...RANGES.filter((r) => r.of.includes(kind)).flatMap((range) => faultOf(range, text)),
    ...temperatureFaults(text),
    ...(kind === 'prep-time' && form.benches.length === 0 ? ['at least one bench'] : []),
    ...(kind === 'fluid-comparison' ? groupFaults(form.groups) : []),
    ...(text.seed.trim() === '' ? ['any word as the seed of the run order'] : []),
  ]
  if (faults.length > 0) return refused(`Still needed: ${[...new Set(faults)].join(', ')}.`)
  return { kind: 'data', data: kind === 'prep-time' ? prepPlan(form) : comparisonPlan(form) }
}

interface Choice {
  readonly key: keyof TrialText
  readonly name: string
  readonly of: readonly TrialKind[]
}

const BOTH: readonly TrialKind[] = ['prep-time', 'fluid-comparison']
const PREP: readonly TrialKind[] = ['prep-time']
const COMPARISON: readonly TrialKind[] = ['fluid-comparison']

const CHOICES: readonly Choice[] = [
  { key: 'fluid', name: 'the fluid', of: PREP },
  { key: 'gas_reference', name: 'what the gas value is stated for', of: BOTH },
  { key: 'purge', name: 'how the purge is done', of: BOTH },
  { key: 'place', name: 'the measuring place', of: BOTH },
]

interface Range extends Choice {
  readonly least: number
  readonly most: number
  readonly unit: string
  readonly whole?: true
}

/** As the record takes them. */
const RANGES: readonly Range[] = [
  { key: 'volume', name: 'volume', of: BOTH, least: 10, most: 5000, unit: 'mL' },
  { key: 'gas', name: 'gas value', of: BOTH, least: 0.1, most: 300, unit: 'µg/mL' },
  { key: 'flow', name: 'gas flow', of: BOTH, least: 0.1, most: 10_000, unit: 'mL/min' },
  { key: 'prep', name: 'prep time', of: BOTH, least: 0.1, most: 240, unit: 'min' },
  { key: 'target', name: 'target', of: PREP, least: 0.1, most: 200, unit: 'µg/mL' },
  { key: 'percent', name: 'part of what it levels off at', of: PREP, least: 50, most: 99, unit: '%' },
  { key: 'coverage', name: 'part of all batches', of: PREP, least: 50, most: 99.9, unit: '%' },
  { key: 'temperature', name: 'temperature to compare at', of: COMPARISON, least: 0, most: 40, unit: '°C' },
  { key: 'margin', name: 'margin', of: COMPARISON, least: 1, most: 100, unit: '%' },
  { key: 'low', name: 'lowest temperature', of: BOTH, least: 0, most: 40, unit: '°C' },
  { key: 'high', name: 'highest temperature', of: BOTH, least: 0, most: 40, unit: '°C' },
  { key: 'gas_off', name: 'limit for the gas', of: BOTH, least: 0.5, most: 50, unit: '%' },
  { key: 'flow_off', name: 'limit for the flow', of: BOTH, least: 0.5, most: 50, unit: '%' },
  { key: 'volume_off', name: 'limit for the volume', of: BOTH, least: 0.5, most: 50, unit: '%' },
  { key: 'confidence', name: 'confidence', of: BOTH, least: 80, most: 99.9, unit: '%' },
  { key: 'batches', name: 'batches', of: BOTH, least: 3, most: 200, unit: 'batches', whole: true },
  { key: 'days', name: 'days', of: BOTH, least: 1, most: 60, unit: 'days', whole: true },
]

const faultOf = ({ key, name, least, most, unit, whole }: Range, text: TrialText): string[] => {
  const value = numberTyped(text[key])
  const fits = value !== null && value >= least && value <= most && (!whole || Number.isInteger(value))
  if (fits) return []
  return [`${name} from ${least} to ${most} ${unit}${whole ? ', a whole number' : ''}`]
}

const temperatureFaults = (text: TrialText): string[] => {
  const [low, high] = [numberTyped(text.low), numberTyped(text.high)]
  return low !== null && high !== null && low >= high ? ['temperatures with the lower first'] : []
}

const groupFaults = (groups: readonly GroupText[]): string[] => {
  const names = groups.map((g) => g.name.trim())
  return [
    ...(groups.length < 2 ? ['two groups to compare'] : []),
    ...(names.includes('') ? ['a name for each group'] : []),
    ...(groups.some((g) => g.fluid === '') ? ['the fluid of each group'] : []),
    ...(groups.some((g) => g.fluid === 'other' && g.fluid_detail.trim() === '')
      ? ['which fluid "other" is']
      : []),
    ...(new Set(names).size < names.length && !names.includes('') ? ['another name for each group'] : []),
  ]
}

const commonOf = ({ text }: TrialForm) => {
  const number = (key: keyof TrialText) => numberTyped(text[key]) ?? Number.NaN
  return {
    title: text.title.trim(),
    volume_ml: number('volume'),
    gas: { ug_per_ml: number('gas'), reference: text.gas_reference },
    flow_ml_per_min: number('flow'),
    measuring_place: text.place,
    purge: text.purge,
    prep_min: number('prep'),
    limits: {
      ...{ gas_percent: number('gas_off'), flow_percent: number('flow_off') },
      volume_percent: number('volume_off'),
      ...{ temperature_low_c: number('low'), temperature_high_c: number('high') },
    },
    confidence_percent: number('confidence'),
    ...{ batches: number('batches'), days: number('days'), seed: text.seed.trim() },
  }
}

const prepPlan = (form: TrialForm): TrialPlan => {
  const { text, benches } = form
  const number = (key: keyof TrialText) => numberTyped(text[key]) ?? Number.NaN
  return {
    ...commonOf(form),
    kind: 'prep-time',
    fluid: text.fluid,
    ...withoutNull({ fluid_detail: textTyped(text.fluid_detail) }),
    benches: [...benches],
    criterion:
      text.criterion === 'target' ? { kind: 'target' } : { kind: 'fraction', percent: number('percent') },
    coverage_percent: number('coverage'),
    target_mg_l: number('target'),
  } as TrialPlan
}

const comparisonPlan = (form: TrialForm): TrialPlan => {
  const { text, benches, groups } = form
  return {
    ...commonOf(form),
    kind: 'fluid-comparison',
    groups: groups.map((g) => ({
      ...{ name: g.name.trim(), fluid: g.fluid },
      ...withoutNull({ fluid_detail: textTyped(g.fluid_detail), lot: textTyped(g.lot) }),
    })),
    ...(benches.length === 0 ? {} : { benches: [...benches] }),
    temperature_c: numberTyped(text.temperature),
    margin_percent: numberTyped(text.margin),
  } as TrialPlan
}
