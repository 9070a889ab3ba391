import type { CheckInstrument } from '../server/wire.ts'
import { dueAt } from './calibration-typed.ts'
import { numberTyped, textTyped, withoutNull } from './typed.ts'

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
  limit: '',
  due: '',
}

export type CheckTyped =
  | { readonly kind: 'data'; readonly data: CheckInstrument['data'] }
  | { readonly kind: 'refused'; readonly why: string }

/** What goes into the ledger, or the first thing that is still needed. Whether it passed is the server's to say. */
export const checkTyped = (text: CheckText): CheckTyped => {
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
  const rest = withoutNull({
    u_expected: numberTyped(text.u_expected),
    u_found: numberTyped(text.u_found),
    due_at: dueAt(text.due),
  })
  const kind = text.kind as CheckInstrument['data']['kind']
  return { kind: 'data', data: { kind, instrument, reference, unit, expected, found, limit, ...rest } }
}

const refused = (why: string): CheckTyped => ({ kind: 'refused', why })
