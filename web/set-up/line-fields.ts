/** One place in a line where a number may stand. */
export interface LineField {
  readonly by: 'field' | 'key'
  /** Position counted from 0, or the name. */
  readonly place: string
  readonly text: string
  readonly isNumber: boolean
}

const SEPARATORS = [',', ';', '\t', '|', ' '] as const
const NUMBER = /^[<>]?\s*[+-]?(\d+[.,]?\d*|[.,]\d+)([eE][+-]?\d{1,3})?$/

/** The places of a line. Where fields look like `name=number`, the names are the places. */
export const fieldsOf = (line: string, separator: string, equals: string): LineField[] =>
  line.split(separator === '' ? ',' : separator).map((part, i) => {
    const text = part.trim()
    const at = equals === '' ? -1 : text.indexOf(equals)
    if (at > 0) {
      const value = text.slice(at + equals.length).trim()
      return { by: 'key', place: text.slice(0, at).trim(), text: value, isNumber: NUMBER.test(value) }
    }
    return { by: 'field', place: String(i), text, isNumber: NUMBER.test(text) }
  })

export interface LineGuess {
  readonly separator: string
  readonly decimal: 'point' | 'comma'
  readonly starts_with: string
  readonly field_count: string
}

/** What the lines have in common. A guess to look at, not more: nothing is taken that the lines do not show. */
export const guessOf = (lines: readonly string[]): LineGuess => {
  const separator = SEPARATORS.find((s) => lines.every((l) => l.includes(s) && !isDecimalOnly(l, s))) ?? ','
  const split = lines.map((line) => line.split(separator).map((part) => part.trim()))
  const firsts = new Set(split.map(([first = '']) => first))
  const [first = ''] = firsts
  const counts = new Set(split.map((parts) => parts.length))
  const isWord = /^[A-Za-z$#@][\w$#@-]*$/.test(first)
  return {
    separator,
    decimal: separator !== ',' && lines.length > 0 && lines.some((l) => /\d,\d/.test(l)) ? 'comma' : 'point',
    starts_with: firsts.size === 1 && isWord && lines.length > 1 ? first : '',
    field_count:
      counts.size === 1 && lines.length > 1 && (split[0]?.length ?? 0) > 1 ? String(split[0]?.length) : '',
  }
}

/** A comma between digits beside another separator is a decimal comma. */
const isDecimalOnly = (line: string, separator: string): boolean =>
  separator === ',' && /[;\t|]/.test(line) && /\d,\d/.test(line)

/** The number that two registers would make as float32 in each order, most plausible reading left to the person. */
export const floatsOf = (
  words: readonly number[],
  at: number,
): readonly (readonly [order: string, value: number])[] => {
  const [first, second] = [words[at], words[at + 1]]
  if (first === undefined || second === undefined) return []
  const bytes = [first >> 8, first & 0xff, second >> 8, second & 0xff]
  return ['ABCD', 'CDAB', 'BADC', 'DCBA'].map((order) => {
    const view = new DataView(new ArrayBuffer(4))
    bytes.forEach((byte, i) => void view.setUint8('ABCD'.indexOf(order[i] ?? 'A'), byte))
    return [order, view.getFloat32(0)] as const
  })
}
