/** Arithmetic of a reading taken by hand from a diluted sample, and the checks before it is entered. */
export interface SpotInput {
  /** As the kit or instrument shows it, mg/L of the diluted sample. */
  readonly read_mg_l: number
  /** Total volume ÷ sample volume; 1 when undiluted. */
  readonly dilution: number
  /** The kit's stated range for what it reads, mg/L; null where not typed. */
  readonly range: { readonly low: number; readonly high: number } | null
}

export type SpotResult =
  | { readonly kind: 'value'; readonly mg_l: number }
  | { readonly kind: 'refused'; readonly why: string }

/** Two readings further apart than this share of their mean ask for another. Common practice, no source. */
export const SECOND_READING_LIMIT = 0.1

export const spotValue = ({ read_mg_l, dilution, range }: SpotInput): SpotResult => {
  if (!Number.isFinite(read_mg_l) || read_mg_l < 0) return refused('Type the reading as the kit shows it.')
  if (!Number.isFinite(dilution) || dilution < 1)
    return refused('The dilution factor is total volume divided by sample volume: 1 or more.')
  if (range !== null && read_mg_l > range.high)
    return refused(
      'Above the range of the kit: dilute more and measure again. Some kits bleach and then read low.',
    )
  if (range !== null && read_mg_l < range.low)
    return refused('Below the range of the kit: dilute less and measure again.')
  return { kind: 'value', mg_l: Number((read_mg_l * dilution).toPrecision(6)) }
}

/** Share of their mean by which two readings differ, 0 to 2. */
export const differ = (a: number, b: number): number => (a + b === 0 ? 0 : Math.abs(a - b) / ((a + b) / 2))

const refused = (why: string): SpotResult => ({ kind: 'refused', why })
