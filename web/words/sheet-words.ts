import type { MethodSheet } from '../../server/wire.ts'
import { millilitres } from '../../server/wording/format.ts'
import { FLUID, GAS_REFERENCE, MEASURING_PLACE, PHASE, PURGE } from '../../server/wording/words.ts'

/** A method sheet in words. */

/** What tells one sheet from another, on one line. */
export const sheetLine = (sheet: MethodSheet): string =>
  [
    `${fluidOf(sheet)}, ${millilitres(sheet.volume_ml)}`,
    `value to reach ${sheet.target_mg_l} µg/mL`,
    `gas ${sheet.gas.ug_per_ml} µg/mL ${GAS_REFERENCE[sheet.gas.reference]}`,
    `${sheet.flow_ml_per_min} mL/min for ${sheet.prep_min} min`,
  ].join(' · ')

export type Fact = readonly [name: string, value: string]

/** All of it, steps apart. */
export const sheetFacts = (sheet: MethodSheet): readonly Fact[] => [
  ['Name', sheet.name],
  ['Fluid', fluidOf(sheet)],
  ['Volume', millilitres(sheet.volume_ml)],
  ['Value to reach (target)', `${sheet.target_mg_l} µg/mL`],
  ['Gas value', `${sheet.gas.ug_per_ml} µg/mL ${GAS_REFERENCE[sheet.gas.reference]}`],
  ['Gas flow', `${sheet.flow_ml_per_min} mL/min`],
  ['Prep time', `${sheet.prep_min} min`],
  ['Planned temperature', sheet.temperature_c === undefined ? 'not given' : `${sheet.temperature_c} °C`],
  ['Purge', PURGE[sheet.purge] ?? sheet.purge],
  ['Measuring place', MEASURING_PLACE[sheet.measuring_place] ?? sheet.measuring_place],
  ['Age limit', `${sheet.age_limit_min} min`],
  ['Draw-up to use', `${sheet.lead_time_min} min`],
  ['Bubbling again', againOf(sheet)],
  ['Mark of the syringe', sheet.mark_ml === undefined ? 'not given' : `every ${sheet.mark_ml} mL`],
]

export const stepLines = (sheet: MethodSheet): readonly string[] =>
  sheet.steps.map(({ during, text }) => `${PHASE[during]}: ${text}`)

/** What is different in the second, each line as it was and as it is. */
export const sheetChanges = (before: MethodSheet, after: MethodSheet): readonly Change[] => {
  const old = new Map(sheetFacts(before))
  const facts = sheetFacts(after).flatMap(([name, value]) =>
    old.get(name) === value ? [] : [{ name, before: old.get(name) ?? '', after: value }],
  )
  const [were, are] = [stepLines(before), stepLines(after)]
  return [
    ...facts,
    ...were.filter((s) => !are.includes(s)).map((s) => ({ name: 'Step', before: s, after: 'left out' })),
    ...are.filter((s) => !were.includes(s)).map((s) => ({ name: 'Step', before: 'not there', after: s })),
  ]
}

export interface Change {
  readonly name: string
  readonly before: string
  readonly after: string
}

const fluidOf = ({ fluid, fluid_detail }: MethodSheet): string =>
  fluid_detail === undefined ? FLUID[fluid] : `${FLUID[fluid]}, ${fluid_detail}`

const againOf = ({ bubble_again }: MethodSheet): string =>
  bubble_again === undefined
    ? 'not allowed'
    : `at most ${bubble_again.most_times} ${bubble_again.most_times === 1 ? 'time' : 'times'}, ozone on for at most ${bubble_again.most_ozone_min} min in all`
