/** A number an alarm is judged by, which the clinic may change. */
export interface LimitSpec {
  readonly value: number
  readonly unit: string
  readonly least: number
  readonly most: number
  /** What it means, in plain words. */
  readonly words: string
  /** Where the number comes from. */
  readonly source: string
}

export type Limits = Readonly<Record<string, LimitSpec>>

/** The limits as they stand: what the clinic set, else what the program ships. */
export type LimitsNow<L extends Limits> = { readonly [Name in keyof L]: number }
