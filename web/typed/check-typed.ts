import type { CheckInstrument } from '../../server/wire.ts'
import { dueAt } from './calibration-typed.ts'
import { numberTyped, refused, type Typed, textTyped, withoutNull } from './typed.ts'

export type CheckText = Readonly<
  Record<
    | 'kind'
    | 'instrument'
    | 'reference'
    | 'unit'
    | 'expected'
    | 'u_expected'
    | 'found'
    | 'u_found'
    | 'left'
    | 'bench'
    | 'limit'
    | 'due',
    string
  >
>

export const EMPTY_CHECK: CheckText = {
  kind: '',
  instrument: '',
  reference: '',
  unit: '',
  expected: '',
  u_expected: '',
  found: '',
  u_found: '',
  left: '',
  bench: '',
  limit: '',
  due: '',
}

/** What is filled in when the kind is chosen: its usual unit, until another was typed. */
export const UNIT: Readonly<Record<CheckInstrument['data']['kind'], string>> = {
  'dissolved-ozone-meter': 'mg/L',
  thermometer: '°C',
  flowmeter: 'mL/min',
  'gas-analyser': 'µg/mL',
  barometer: 'kPa',
  'volume-measure': 'mL',
  'room-monitor': 'ppm',
}

export const withKind = (text: CheckText, kind: string): CheckText => {
  const isUsual = text.unit === '' || Object.values(UNIT).includes(text.unit)
  return { ...text, kind, unit: isUsual ? (UNIT[kind as keyof typeof UNIT] ?? '') : text.unit }
}

/** A bath of ice and distilled water: 0.00 °C; u for one made with care in an open flask, from memory. */
export const withIcePoint = (text: CheckText): CheckText => ({
  ...text,
  reference: 'ice point, distilled water',
  unit: UNIT.thermometer,
  expected: '0',
  u_expected: '0.02',
})

/** What goes into the ledger, or the first thing that is still needed. Whether it passed is the server's to say. */
export const checkTyped = (text: CheckText): Typed<CheckInstrument['data']> => {
  const expected = numberTyped(text.expected)
  const found = numberTyped(text.found)
  const limit = numberTyped(text.limit)
  if (text.kind === '') return refused('Choose what was checked.')
  const [instrument, reference, unit] = [text.instrument, text.reference, text.unit].map(textTyped)
  if (!instrument) return refused('Type which one it is.')
  if (!reference) return refused('Type what it was held against.')
  if (!unit) return refused('Type the unit.')
  if (expected === null || found === null)
    return refused('Type both the reference value and the value found.')
  if (limit === null || limit <= 0) return refused('Type the greatest difference that passes, above 0.')
  for (const key of ['u_expected', 'u_found'] as const) {
    const u = numberTyped(text[key])
    if (text[key].trim() !== '' && (u === null || u < 0))
      return refused('Type an uncertainty as a number not below 0, or leave it empty.')
  }
  const left = numberTyped(text.left)
  if (text.left.trim() !== '' && left === null)
    return refused('Type the value as left as a number, or leave it empty.')
  const rest = withoutNull({
    left,
    bench: textTyped(text.bench),
    u_expected: numberTyped(text.u_expected),
    u_found: numberTyped(text.u_found),
    due_at: dueAt(text.due),
  })
  const kind = text.kind as CheckInstrument['data']['kind']
  return { kind: 'data', data: { kind, instrument, reference, unit, expected, found, limit, ...rest } }
}
