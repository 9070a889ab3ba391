import { type Judged, likelyCauses } from '../verdict/causes.ts'
import { type Comparison, compare, type ExpectedBand } from '../verdict/compare.ts'
import type { Quantity } from './quantity-schema.ts'
import type { Verdict } from './schema.ts'

export interface Held {
  readonly about: Judged
  readonly quantity: Quantity
  /** Index into the batch's phases. */
  readonly phase: number
}

export interface Against {
  readonly against: Verdict['against']
  readonly expected: ExpectedBand
  readonly sources: readonly string[]
  readonly rule?: Verdict['rule']
}

/** A quantity held against what was expected of it. */
export const judge = (held: Held, against: Against): Verdict =>
  verdictFrom(held, against, compare(held.quantity, against.expected))

/** The verdict of a comparison that was made in a way of its own. */
export const verdictFrom = (
  { about, quantity, phase }: Held,
  { against, expected, sources, rule }: Against,
  result: Comparison,
): Verdict => {
  const common = {
    about,
    phase,
    against,
    expected: { ...expected },
    sources: [...sources],
    ...(rule === undefined ? {} : { rule }),
  }
  switch (result.outcome) {
    case 'agrees':
      return { ...common, outcome: 'agrees', found: result.found }
    case 'differs':
      return {
        ...common,
        outcome: 'differs',
        found: result.found,
        by_percent: result.byPercent,
        direction: result.direction,
        causes: [...likelyCauses(about, result.direction)],
      }
    case 'cannot-tell':
      return {
        ...common,
        outcome: 'cannot-tell',
        why: 'why' in quantity && result.why === 'only-a-bound' ? quantity.why : 'interval-too-wide',
      }
    default:
      return result satisfies never
  }
}
