import type { ComparisonResult } from '../wire.ts'
import { decimal } from '../wording/format.ts'
import { confounding, referencesDiffer } from './confounding.ts'
import { daysOf, type MemberFacts } from './member-facts.ts'
import type { Relative } from './quantity.ts'
import { equivalence } from './stats/equivalence.ts'
import { logsOf } from './stats/sample.ts'
import { type Welch, welch, welchInterval, widened } from './stats/welch.ts'
import { FARTHEST_C, halfLifeShiftU, temperatureShift } from './temperature-shift.ts'
import type { ComparisonPlan } from './trial.ts'

interface Group {
  readonly name: string
  readonly members: readonly MemberFacts[]
}

export interface PairInput {
  readonly measure: 'plateau' | 'half-life'
  readonly first: Group
  readonly second: Group
  readonly plan: ComparisonPlan
  readonly value: (member: MemberFacts) => Relative | undefined
}

type Pair = ComparisonResult['pairs'][number]

export interface Tested {
  /** Not corrected; undefined where nothing could be tested. */
  readonly p: number | undefined
  /** The pair in words, once the p of all pairs is corrected. */
  readonly finish: (corrected: number | undefined) => Pair
}

/** Two groups in one measure: a ratio with its interval, a test for a difference and one for equivalence. */
export const comparePair = (input: PairInput): Tested => {
  const { first, second, measure } = input
  const beside = confounding(first.members, second.members, [first.name, second.name])
  const common = {
    measure,
    first: first.name,
    second: second.name,
    warnings: [...beside.warnings, ...slopeWarning(input)],
  }
  const why = [...refusals(input)]
  const test = why.length === 0 ? testOf(input) : undefined
  if (test === undefined) {
    const words = why.length === 0 ? ['neither group scatters'] : why
    return {
      p: undefined,
      finish: () => ({ ...common, ...NOTHING, reasons: words, sentence: cannot(input, words) }),
    }
  }
  return {
    p: test.p,
    finish: (corrected = 1) => judged(input, common, test, corrected, beside.fatal),
  }
}

const NOTHING = {
  answer: 'cannot-tell',
  ...{ ratio: null, low: null, high: null, p: null, equivalence_p: null },
  within_margin: false,
} as const

const WHAT = { plateau: 'levels off at', 'half-life': 'half-life at 20 °C' } as const

const cannot = ({ measure, first, second }: PairInput, why: readonly string[]): string =>
  `${first.name} and ${second.name}, ${WHAT[measure]}: cannot be told (${why.join('; ')}).`

const refusals = ({ measure, first, second, plan, value }: PairInput): string[] => [
  ...[first, second].flatMap((g) => groupRefusals(g, plan, value)),
  ...(measure === 'plateau' && referencesDiffer(first.members, second.members)
    ? ['measured against different references, whose values differ by a factor nobody knows']
    : []),
  ...gapRefusal(temperatureGap(measure, first, second)),
]

/** One that could not be measured is no missing value: the slowest or the longest-lived may be among them. */
const groupRefusals = (
  { name, members }: Group,
  plan: ComparisonPlan,
  value: PairInput['value'],
): string[] => {
  const without = members.filter((m) => value(m) === undefined).length
  const days = daysOf(members).length
  return [
    ...(members.length < plan.batches
      ? [`${name}: ${members.length} of ${plan.batches} batches planned`]
      : []),
    ...(members.length > 0 && days < plan.days ? [`${name}: ${days} of ${plan.days} days planned`] : []),
    ...(without > 0 ? [`${name}: ${without} without a number`] : []),
  ]
}

const gapRefusal = (gap: number): string[] => {
  if (Number.isNaN(gap)) return ['a temperature is missing']
  return gap > FARTHEST_C ? [`mean temperatures more than ${FARTHEST_C} °C apart`] : []
}

/** Of a plateau while it bubbled, of a half-life over the whole batch, most of which is standing. */
const meanTemperature = (measure: PairInput['measure'], { members }: Group): number => {
  const of = ({ facts }: MemberFacts) =>
    measure === 'plateau' ? facts.temperatureC : (facts.summary.mean_temperature_c ?? facts.temperatureC)
  return members.reduce((s, m) => s + (of(m) ?? Number.NaN), 0) / members.length
}

const temperatureGap = (measure: PairInput['measure'], a: Group, b: Group): number =>
  a.members.length === 0 || b.members.length === 0
    ? 0
    : Math.abs(meanTemperature(measure, a) - meanTemperature(measure, b))

/** Within this the slope is too small to speak of, °C. */
const NEAR_C = 2

const slopeWarning = ({ measure, first, second }: PairInput): string[] => {
  const gap = temperatureGap(measure, first, second)
  return gap > NEAR_C && gap <= FARTHEST_C
    ? [`mean temperatures ${decimal(gap, 1)} °C apart: the interval holds what published slopes differ by`]
    : []
}

/** Welch on the logarithms, widened by what the published slopes with temperature differ between the groups. */
const testOf = ({ measure, first, second, value }: PairInput): Welch | undefined => {
  const logs = (g: Group) => logsOf(g.members.flatMap((m) => value(m)?.value ?? []))
  const [a, b] = [logs(first), logs(second)]
  if (new Set(a).size === 1 && new Set(b).size === 1) return undefined
  const [from, to] = [meanTemperature(measure, first), meanTemperature(measure, second)]
  const u = measure === 'plateau' ? temperatureShift(from, to, false).u : halfLifeShiftU(from, to)
  return widened(welch(a, b), u)
}

const judged = (
  input: PairInput,
  common: Pick<Pair, 'measure' | 'first' | 'second' | 'warnings'>,
  test: Welch,
  p: number,
  fatal: readonly string[],
): Pair => {
  const { plan, first, second } = input
  const alpha = 1 - plan.confidence_percent / 100
  // all pairs of k groups: α/(k − 1) for equivalence
  const same = equivalence(test, Math.log1p(plan.margin_percent / 100), alpha / (plan.groups.length - 1))
  const [low, high] = welchInterval(test, plan.confidence_percent / 100).map(Math.exp) as [number, number]
  const ratio = Math.exp(test.difference)
  const differs = p < alpha
  const found = differs ? (ratio > 1 ? 'more' : 'less') : same.equivalent ? 'equivalent' : 'not-shown'
  const times = `${decimal(ratio, 2)} times (${decimal(low, 2)} to ${decimal(high, 2)})`
  const numbers = {
    ...{ ratio, low, high, p, equivalence_p: same.p },
    within_margin: same.equivalent,
  }
  const margin = `± ${plan.margin_percent} %`
  const sentence = {
    more: `${first.name} ${VERB[input.measure]} ${times} what ${second.name} does`,
    less: `${first.name} ${VERB[input.measure]} ${times} what ${second.name} does`,
    equivalent: `${first.name} and ${second.name}, ${WHAT[input.measure]}: within the margin of ${margin} of each other, ${times}`,
    'not-shown': `${first.name} and ${second.name}, ${WHAT[input.measure]}: no difference shown, which does not mean that there is none; ${times}`,
  }[found]
  const inside = differs && same.equivalent ? `, which is inside the margin of ${margin}` : ''
  if (fatal.length > 0)
    return {
      ...common,
      ...numbers,
      answer: 'cannot-tell',
      reasons: [...fatal],
      sentence: `Between these batches ${sentence}${inside}, but ${fatal.join('; and ')}.`,
    }
  return { ...common, ...numbers, answer: found, reasons: [], sentence: `${sentence}${inside}.` }
}

const VERB = { plateau: 'levels off at', 'half-life': 'lasts' } as const
