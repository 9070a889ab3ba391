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
