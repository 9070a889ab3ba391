import type { Sent } from './channel-map.ts'

export type Decimal = 'point' | 'comma'

const NUMBER: Readonly<Record<Decimal, RegExp>> = {
  point: /^[+-]?(\d+\.?\d*|\.\d+)([eE][+-]?\d{1,3})?$/,
  comma: /^[+-]?(\d+,?\d*|,\d+)([eE][+-]?\d{1,3})?$/,
}
/** What meters send when they have no number: empty, dashes, stars, or a word. Read as a fault, never as 0. */
const NO_NUMBER =
  /^(|-+\.?-*|\*+|\?+|nan|inf|-inf|[+-]?inf(inity)?|err(or)?[ :_-]?\w*|e\d{1,3}|fault|open|short|n\/a|na|none|null|off|over(range)?|under(range)?|ol)$/i
/** Common in laboratories: above the range, below detection. */
const BOUND = /^([<>])=?\s*(.+)$/

/** A field as text. Undefined when it is neither a number nor a known word for none: then the line is corrupt. */
export const readSent = (field: string, decimal: Decimal): Sent | undefined => {
  if (NO_NUMBER.test(field)) return { kind: 'none' }
  const bound = BOUND.exec(field)
  const text = bound?.[2] ?? field
  if (!NUMBER[decimal].test(text)) return undefined
  const raw = Number(text.replace(',', '.'))
  if (!Number.isFinite(raw)) return undefined
  return { kind: bound === null ? 'number' : bound[1] === '>' ? 'at-least' : 'less-than', raw }
}
