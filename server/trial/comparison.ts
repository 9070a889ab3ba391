import type { ComparisonResult } from '../wire.ts'
import { normalPlateau } from './compare-batch.ts'
import { daysOf, type MemberFacts } from './member-facts.ts'
import { comparePair, type PairInput } from './pair.ts'
import { comparisonsOf, POWER } from './power.ts'
import type { Relative } from './quantity.ts'
import { spreadOf } from './spread.ts'
import { batchesNeeded } from './stats/batches-needed.ts'
import { holm } from './stats/holm.ts'
import { logsOf, sampleOf } from './stats/sample.ts'
import type { ComparisonPlan } from './trial.ts'

export interface ComparisonFound {
  readonly detail: ComparisonResult
  readonly answer: 'shown' | 'not-shown' | 'cannot-tell'
  readonly sentence: string
  readonly cautions: readonly string[]
}

type Pair = ComparisonResult['pairs'][number]

/** Which group holds more and which lasts longer, all pairs, with Holm's correction over all of them. */
export const comparison = (plan: ComparisonPlan, pooled: readonly MemberFacts[]): ComparisonFound => {
  const groups = plan.groups.map(({ name }) => ({ name, members: pooled.filter((m) => m.group === name) }))
  const asked = groups.flatMap((first, i) =>
    groups
      .slice(i + 1)
      .flatMap((second) =>
        (['plateau', 'half-life'] as const).map(
          (measure): PairInput => ({ measure, first, second, plan, value: measureOf(measure, plan) }),
        ),
      ),
  )
  const tested = asked.map(comparePair)
  const corrected = holm(tested.flatMap((t) => t.p ?? []))
  let next = 0
  const pairs = tested.map((t) => t.finish(t.p === undefined ? undefined : corrected[next++]))
  return {
    detail: {
      kind: 'fluid-comparison',
      groups: groups.map(({ name, members }) => groupView(name, members, plan)),
      pairs,
      batches_needed: neededFor(plan, groups),
    },
    answer: answerOf(pairs),
    sentence: sentenceOf(pairs),
    cautions: [],
  }
}

const measureOf =
  (measure: Pair['measure'], plan: ComparisonPlan) =>
  ({ facts }: MemberFacts): Relative | undefined =>
    measure === 'plateau' ? normalPlateau(facts, plan) : facts.halfLife20c

const groupView = (
  name: string,
  members: readonly MemberFacts[],
  plan: ComparisonPlan,
): ComparisonResult['groups'][number] => {
  const distinct = (values: readonly string[]) => [...new Set(values)].sort()
  const temperatures = members.flatMap((m) => m.facts.temperatureC ?? [])
  return {
    name,
    batches: members.length,
    days: daysOf(members).length,
    lots: distinct(members.flatMap((m) => m.facts.summary.head.lot ?? [])),
    benches: distinct(members.map((m) => m.facts.summary.head.bench)),
    temperature_low_c: temperatures.length === 0 ? null : Math.min(...temperatures),
    temperature_high_c: temperatures.length === 0 ? null : Math.max(...temperatures),
    plateau_mg_l: spreadOf(members.flatMap((m) => measureOf('plateau', plan)(m) ?? [])),
    half_life_20c_min: spreadOf(members.flatMap((m) => measureOf('half-life', plan)(m) ?? [])),
  }
}

/** By the wider of the two spreads seen. */
const neededFor = (
  plan: ComparisonPlan,
  groups: readonly { readonly members: readonly MemberFacts[] }[],
): number | null => {
  const spreads = (['plateau', 'half-life'] as const).flatMap((measure) =>
    groups.flatMap(({ members }) => {
      const values = members.flatMap((m) => measureOf(measure, plan)(m)?.value ?? [])
      return values.length < 2 ? [] : [sampleOf(logsOf(values)).sd]
    }),
  )
  const sdLog = Math.max(0, ...spreads)
  if (sdLog === 0) return null
  const ratio = 1 + plan.margin_percent / 100
  // as Holm's correction asks of the least p of all comparisons
  const alpha = (1 - plan.confidence_percent / 100) / comparisonsOf(groups.length)
  return batchesNeeded({ ratio, sdLog, alpha }, POWER) ?? null
}

const answerOf = (pairs: readonly Pair[]): ComparisonFound['answer'] => {
  if (pairs.some((p) => p.answer === 'cannot-tell')) return 'cannot-tell'
  return pairs.some((p) => p.answer === 'not-shown') ? 'not-shown' : 'shown'
}

/** More are told of below. */
const MOST_TOLD = 4

/** Those that are told, those where nothing was shown, and why the rest cannot be told, each once. */
const sentenceOf = (pairs: readonly Pair[]): string => {
  const of = (...answers: readonly Pair['answer'][]) => pairs.filter((p) => answers.includes(p.answer))
  const told = of('more', 'less', 'equivalent')
  const notShown = of('not-shown')
  const cannot = of('cannot-tell')
  const names = (p: Pair) => `${p.first} and ${p.second} (${MEASURE[p.measure]})`
  return [
    ...told.slice(0, MOST_TOLD).map((p) => p.sentence),
    ...(told.length > MOST_TOLD ? [`${told.length - MOST_TOLD} more are told.`] : []),
    ...(notShown.length > 0
      ? [`No difference shown, which does not mean that there is none: ${notShown.map(names).join(', ')}.`]
      : []),
    ...(cannot.length > 0
      ? [
          `${cannot.length} of ${pairs.length} comparisons cannot be told: ${[...new Set(cannot.flatMap((p) => p.reasons))].join('; ')}.`,
        ]
      : []),
  ].join(' ')
}

const MEASURE = { plateau: 'levels off at', 'half-life': 'half-life at 20 °C' } as const
