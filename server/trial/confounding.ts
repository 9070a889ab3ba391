import { sameReference } from '../calibration/measured-against.ts'
import type { MemberFacts } from './member-facts.ts'

export interface Confounding {
  /** What makes the answer worthless: the fluid and something else cannot be told apart. */
  readonly fatal: readonly string[]
  /** What a reader has to know. */
  readonly warnings: readonly string[]
}

/** Beyond this two ranges of temperature count as apart, °C. Engineering judgement. */
const APART_C = 0.5

/** What else differs between two groups, so that it could be that and not the fluid. */
export const confounding = (
  a: readonly MemberFacts[],
  b: readonly MemberFacts[],
  names: readonly [string, string],
): Confounding => ({
  fatal: [
    ...apart(a, b, (m) => m.facts.day, 'no day has batches of both: day and fluid cannot be told apart'),
    ...apart(
      a,
      b,
      (m) => m.facts.summary.head.bench,
      'no bench made batches of both: bench, its meter and the fluid cannot be told apart',
    ),
  ],
  warnings: [
    ...temperatures(a, b, names),
    ...apart(a, b, (m) => m.facts.summary.head.measuring_place, 'measured at different places'),
    ...apart(a, b, (m) => m.facts.summary.head.purge, 'purged in different ways'),
    ...calibratedInOne(a, b, names),
    ...[a, b].flatMap((own, i) => oneLot(own, names[i] ?? '')),
  ],
})

/** Values against different references differ by a factor that nobody knows; half-lives do not mind. */
export const referencesDiffer = (a: readonly MemberFacts[], b: readonly MemberFacts[]): boolean => {
  const sets = [...a, ...b].map((m) => m.facts.summary.measured_against)
  return sets.some((set) => !sameReference(set, sets[0] ?? []))
}

const apart = (
  a: readonly MemberFacts[],
  b: readonly MemberFacts[],
  of: (m: MemberFacts) => string,
  words: string,
): string[] => {
  const first = new Set(a.map(of))
  return a.length > 0 && b.length > 0 && b.every((m) => !first.has(of(m))) ? [words] : []
}

const temperatures = (
  a: readonly MemberFacts[],
  b: readonly MemberFacts[],
  names: readonly [string, string],
): string[] => {
  const range = (own: readonly MemberFacts[]) => {
    const all = own.flatMap((m) => m.facts.temperatureC ?? [])
    return { low: Math.min(...all), high: Math.max(...all) }
  }
  const [first, second] = [range(a), range(b)]
  if (first.low > second.high + APART_C) return [`${names[0]} was warmer in every batch`]
  return second.low > first.high + APART_C ? [`${names[1]} was warmer in every batch`] : []
}

const calibratedInOne = (
  a: readonly MemberFacts[],
  b: readonly MemberFacts[],
  names: readonly [string, string],
): string[] => {
  const fluids = new Set([...a, ...b].flatMap((m) => m.facts.calibratedIn))
  const own = (members: readonly MemberFacts[]) => members.some((m) => fluids.has(m.facts.summary.head.fluid))
  const [first, second] = [own(a), own(b)]
  return first === second ? [] : [`the probe was calibrated in ${first ? names[0] : names[1]} only`]
}

const oneLot = (own: readonly MemberFacts[], name: string): string[] => {
  const lots = new Set(own.map((m) => m.facts.summary.head.lot))
  const [lot] = lots
  return own.length > 1 && lots.size === 1 && lot !== null
    ? [`${name}: one lot only (${lot}); other lots may do otherwise`]
    : []
}
