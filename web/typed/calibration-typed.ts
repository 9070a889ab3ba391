import type { Calibrate, Reference, ReferenceWanted } from '../../server/wire.ts'
import { numberTyped, refused, type Typed, textTyped, withoutNull } from './typed.ts'

export type CalibrationData = Calibrate['data']

const NUMBERS = {
  tau: 'the probe response time',
  u_tau: 'its uncertainty',
  temperature: 'the temperature',
  u_reference: 'the uncertainty all reference values share',
  f: 'f',
  epsilon: 'ε',
  limit: 'the acceptance limit',
  found_shown: 'the value shown as found',
  found_reference: 'the reference as found',
  left_shown: 'the value shown as left',
  left_reference: 'the reference as left',
} as const

type Key =
  | keyof typeof NUMBERS
  | 'channel'
  | 'slope'
  | 'zero'
  | 'u_slope'
  | 'u_zero'
  | 'method'
  | 'fluid'
  | 'fluid_detail'
  | 'senses'
  | 'stirred'
  | 'compensation'
  | 'reference_method'
  | 'dye_lot'
  | 'certificate'
  | 'due'

export type CalibrationText = Readonly<Record<Key, string>>

export const EMPTY_CALIBRATION: CalibrationText = {
  channel: '',
  slope: '',
  zero: '',
  u_slope: '',
  u_zero: '',
  tau: '',
  u_tau: '',
  method: '',
  fluid: '',
  fluid_detail: '',
  senses: '',
  stirred: '',
  compensation: '',
  reference_method: '',
  temperature: '',
  u_reference: '',
  dye_lot: '',
  f: '',
  epsilon: '',
  certificate: '',
  limit: '',
  found_shown: '',
  found_reference: '',
  left_shown: '',
  left_reference: '',
  due: '',
}

/** What goes into the ledger, or the first thing that is still needed. An uncertainty is never assumed. */
export const calibrationTyped = (
  instrument: string,
  text: CalibrationText,
  points: CalibrationData['points'] = undefined,
): Typed<CalibrationData> => {
  const slope = numberTyped(text.slope)
  const zero = numberTyped(text.zero)
  const u_slope_percent = numberTyped(text.u_slope)
  const u_zero = numberTyped(text.u_zero)
  const method = textTyped(text.method)
  if (text.channel === '') return refused('Choose the channel.')
  if (slope === null || slope <= 0) return refused('Type the slope, a number above 0.')
  if (zero === null) return refused('Type the zero; 0 when none was found.')
  if (u_slope_percent === null || u_slope_percent < 0 || u_zero === null || u_zero < 0)
    return refused('Type both standard uncertainties.')
  if (method === null) return refused('Type the reference method.')
  if (text.senses === 'activity' && numberTyped(text.temperature) === null)
    return refused('Type the temperature of the fluid: what a membrane probe shows depends on it.')
  const fault = faultIn(text)
  if (fault !== undefined) return refused(fault)
  return {
    kind: 'data',
    data: {
      instrument,
      channel: text.channel,
      slope,
      zero,
      u_slope_percent,
      u_zero,
      method,
      ...optional(text),
      ...(points === undefined ? {} : { points: [...points] }),
    } as CalibrationData,
  }
}

/** What may be left out, but not be typed wrong. */
const faultIn = (text: CalibrationText): string | undefined => {
  for (const key of Object.keys(NUMBERS) as (keyof typeof NUMBERS)[])
    if (text[key].trim() !== '' && numberTyped(text[key]) === null)
      return `Type a number for ${NUMBERS[key]}, or leave it empty.`
  for (const [shown, reference] of PAIRS)
    if ((text[shown].trim() === '') !== (text[reference].trim() === ''))
      return `Type both ${NUMBERS[shown]} and ${NUMBERS[reference]}, or neither.`
  if (text.due !== '' && !/^\d{4}-\d\d-\d\d$/.test(text.due)) return 'Choose the due date, or leave it empty.'
  return undefined
}

const PAIRS = [
  ['found_shown', 'found_reference'],
  ['left_shown', 'left_reference'],
] as const

const optional = (text: CalibrationText) =>
  withoutNull({
    tau_s: numberTyped(text.tau),
    u_tau_s: numberTyped(text.u_tau),
    fluid: textTyped(text.fluid),
    fluid_detail: textTyped(text.fluid_detail),
    senses: textTyped(text.senses),
    temperature_c: numberTyped(text.temperature),
    stirred: textTyped(text.stirred),
    compensation: textTyped(text.compensation),
    reference_method: textTyped(text.reference_method),
    u_reference_percent: numberTyped(text.u_reference),
    dye_lot: textTyped(text.dye_lot),
    f_l_per_mg_cm: numberTyped(text.f),
    epsilon_per_m_cm: numberTyped(text.epsilon),
    certificate: textTyped(text.certificate),
    limit_percent: numberTyped(text.limit),
    as_found: against(text.found_shown, text.found_reference),
    as_left: against(text.left_shown, text.left_reference),
    due_at: dueAt(text.due),
  })

const against = (shownText: string, referenceText: string) => {
  const shown = numberTyped(shownText)
  const reference = numberTyped(referenceText)
  return shown === null || reference === null ? null : { shown, reference }
}

/** The end of the day, UTC. */
export const dueAt = (day: string): string | null => (day === '' ? null : `${day}T23:59:59.000Z`)

/** The details that a reference sample settles; what was typed already stays, the larger shared uncertainty wins. */
export const withSample = (
  text: CalibrationText,
  sample: ReferenceWanted,
  found: Reference,
): CalibrationText => {
  const dye = sample.method === 'indigo' ? sample.dye_lot : undefined
  const settled: Partial<CalibrationText> = {
    reference_method: sample.method,
    method: [METHOD[sample.method], ...(dye === undefined ? [] : [`dye lot ${dye}`])].join(', '),
    ...(dye === undefined ? {} : { dye_lot: dye }),
    ...(sample.method === 'indigo' && sample.f ? { f: String(sample.f.value) } : {}),
    ...(sample.method === 'uv' ? { epsilon: String(sample.epsilon.value) } : {}),
  }
  const empty = Object.entries(settled).filter(([key]) => text[key as Key].trim() === '')
  const shared = Math.max(numberTyped(text.u_reference) ?? 0, found.shared_percent)
  return { ...text, ...Object.fromEntries(empty), u_reference: String(Number(shared.toFixed(3))) }
}

const METHOD = { indigo: 'indigo', dpd: 'DPD', uv: 'UV absorption' } as const
