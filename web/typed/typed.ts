/** What people type. A comma may stand for the decimal point; anything else than a plain number is no number. */
export const numberTyped = (text: string): number | null => {
  const plain = text.trim().replace(',', '.')
  return /^[+-]?(\d+\.?\d*|\.\d+)$/.test(plain) ? Number(plain) : null
}

export const textTyped = (text: string): string | null => (text.trim() === '' ? null : text.trim())

/** Leaves out the keys whose value is null: the wire wants a missing key, not an empty one. */
export const withoutNull = <T extends Record<string, unknown>>(
  fields: T,
): { [K in keyof T]?: NonNullable<T[K]> } =>
  Object.fromEntries(Object.entries(fields).filter(([, value]) => value !== null)) as {
    [K in keyof T]?: NonNullable<T[K]>
  }

/** What a form holds: data to send, or the first thing that is still needed, in words. */
export type Typed<T> = { readonly kind: 'data'; readonly data: T } | Refused

export interface Refused {
  readonly kind: 'refused'
  readonly why: string
}

export const refused = (why: string): Refused => ({ kind: 'refused', why })
