import type { MethodSheet } from '../../server/wire.ts'
import { batchDetails, EMPTY_PLAN, type Plan } from '../batch-plan.ts'
import { generalSteps, type SheetStep } from '../steps.ts'
import { numberTyped, refused, type Typed } from './typed.ts'

/** The form of a method sheet as typed, all text: the settings of a batch, and what a sheet rules beyond them. */
export type SheetText = Plan &
  Readonly<Record<'name' | 'again_times' | 'again_min' | 'mark' | StepsKey, string>>

type During = SheetStep['during']
type StepsKey = `steps ${During}`

export const STEP_PHASES: readonly During[] = ['set-up', 'bubbling', 'purge', 'standing']

/** The steps of a phase, one a line. */
const linesOf = (steps: readonly SheetStep[], phase: During): string =>
  steps
    .filter(({ during }) => during === phase)
    .map(({ text }) => text)
    .join('\n')

const stepTexts = (steps: readonly SheetStep[]) =>
  Object.fromEntries(STEP_PHASES.map((during) => [`steps ${during}`, linesOf(steps, during)])) as Record<
    StepsKey,
    string
  >

const GENERAL = generalSteps({ measuring_place: 'in-the-flask', gas: null })

/** Nothing filled in but the general steps, which are there to be changed. */
export const EMPTY_SHEET: SheetText = {
  ...EMPTY_PLAN,
  name: '',
  again_times: '',
  again_min: '',
  mark: '',
  ...stepTexts(GENERAL),
}

/** A sheet as its form shows it, to write the next version from. */
export const textOfSheet = (sheet: Partial<MethodSheet>): SheetText => {
  const text = (value: number | undefined) => (value === undefined ? '' : String(value))
  return {
    ...EMPTY_SHEET,
    name: sheet.name ?? '',
    fluid: sheet.fluid ?? '',
    fluid_detail: sheet.fluid_detail ?? '',
    volume_ml: text(sheet.volume_ml),
    target: text(sheet.target_mg_l),
    gas: text(sheet.gas?.ug_per_ml),
    gas_reference: sheet.gas?.reference ?? '',
    flow: text(sheet.flow_ml_per_min),
    prep: text(sheet.prep_min),
    age_limit: text(sheet.age_limit_min),
    temperature: text(sheet.temperature_c),
    lead: text(sheet.lead_time_min),
    measuring_place: sheet.measuring_place ?? '',
    purge: sheet.purge ?? '',
    again_times: text(sheet.bubble_again?.most_times),
    again_min: text(sheet.bubble_again?.most_ozone_min),
    mark: text(sheet.mark_ml),
    ...(sheet.steps === undefined ? {} : stepTexts(sheet.steps)),
  }
}

const NEEDED = [
  ['target', 'the value to reach'],
  ['gas', 'the gas value'],
  ['flow', 'the gas flow'],
  ['prep', 'the prep time'],
  ['age_limit', 'the age limit'],
  ['lead', 'the time from draw-up to use'],
] as const

/** What is sent, or what is still needed. `known`: steps of the version before, which keep their ids where their words stay. */
export const sheetOf = (text: SheetText, known: readonly SheetStep[] = []): Typed<MethodSheet> => {
  if (text.name.trim() === '') return refused('Type the name of the sheet.')
  const planned = batchDetails({ ...text, lot: '' })
  if (planned.kind === 'refused') return planned
  if (text.fluid === 'other' && text.fluid_detail.trim() === '') return refused('Say which fluid it is.')
  const missing = NEEDED.filter(([key]) => text[key].trim() === '').map(([, words]) => words)
  if (missing.length > 0) return refused(`Still needed: ${missing.join(', ')}.`)
  const again = againOf(text)
  if (again.kind === 'refused') return again
  const mark = numberTyped(text.mark)
  if (text.mark.trim() !== '' && !(Number(mark) > 0))
    return refused('The mark of the syringe must be a number above 0, or empty.')
  const steps = stepsOf(text, [...known, ...GENERAL])
  if (steps.length === 0) return refused('At least one step is needed.')
  const data = {
    ...planned.data,
    name: text.name.trim(),
    steps,
    ...(again.data === undefined ? {} : { bubble_again: again.data }),
    ...(mark === null ? {} : { mark_ml: mark }),
  }
  return { kind: 'data', data: data as MethodSheet }
}

const againOf = (text: SheetText): Typed<MethodSheet['bubble_again']> => {
  const [times, minutes] = [numberTyped(text.again_times), numberTyped(text.again_min)]
  if (text.again_times.trim() === '' && text.again_min.trim() === '') return { kind: 'data', data: undefined }
  if (times === null || !Number.isInteger(times) || times < 1 || times > 5)
    return refused(
      'Bubbling again: type how many times, 1 to 5, or leave both empty: then it is not allowed.',
    )
  if (minutes === null || minutes <= Number(numberTyped(text.prep)))
    return refused(
      'Bubbling again: minutes of ozone in all, the first bubbling included, so more than the prep time.',
    )
  return { kind: 'data', data: { most_times: times, most_ozone_min: minutes } }
}

/** One a line; a step keeps its id while its words and phase stay, so that ticks of all versions can be held together. */
const stepsOf = (text: SheetText, known: readonly SheetStep[]): SheetStep[] => {
  const taken = new Set<string>()
  return STEP_PHASES.flatMap((during) =>
    text[`steps ${during}`]
      .split('\n')
      .map((line) => line.trim())
      .filter((line) => line !== '')
      .map((line) => {
        const old = known.find((s) => s.during === during && s.text === line)?.step
        const step = free(old ?? idOf(line, during), taken)
        taken.add(step)
        return { step, during, text: line }
      }),
  )
}

const LONGEST_ID = 36

const idOf = (line: string, during: During): string => {
  const words = line
    .normalize('NFKD')
    .toLowerCase()
    .replace(/[^a-z0-9]+/g, '-')
    .replace(/^-+|-+$/g, '')
    .slice(0, LONGEST_ID)
  return words === '' ? during : words
}

const free = (id: string, taken: ReadonlySet<string>): string => {
  let name = id
  for (let n = 2; taken.has(name); n++) name = `${id}-${n}`
  return name
}
