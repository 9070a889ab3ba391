import type { EntryData } from '../ledger/entry.ts'

/**
 * What a calibration's values rest on, in words that are the same for values that may be compared: the kind of
 * reference, for UV with its ε (published ones differ by 14 %). An indigo dye lot with its own f is the same reference.
 */
export const referenceOf = ({ reference_method, epsilon_per_m_cm }: EntryData<'calibration'>): string => {
  if (reference_method === undefined) return 'reference not stated'
  return reference_method === 'uv' && epsilon_per_m_cm !== undefined
    ? `uv, ε ${epsilon_per_m_cm}`
    : reference_method
}

export const UNCALIBRATED = 'uncalibrated'

/** May concentrations be held against each other as they are? A common factor does not matter to half-lives. */
export const sameReference = (a: readonly string[], b: readonly string[]): boolean =>
  [...new Set(a)].sort().join('|') === [...new Set(b)].sort().join('|')
