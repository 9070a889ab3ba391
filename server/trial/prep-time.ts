import { UNCALIBRATED } from '../calibration/measured-against.ts'
import type { PrepTimeResult, TrialBound } from '../wire.ts'
import { decimal } from '../wording/format.ts'
import { costsOf, demandOf } from './confidence-costs.ts'
import { daysOf, type MemberFacts, numberOf } from './member-facts.ts'
import { leftAfterPurge, minutesOf, reachedAt } from './prep-batch.ts'
import { cautionsOf, dayReason } from './prep-cautions.ts'
import type { Relative } from './quantity.ts'
import { spreadOf } from './spread.ts'
import { logToleranceBound } from './stats/tolerance-bound.ts'
import type { PrepTimePlan } from './trial.ts'

export interface PrepFound {
  readonly detail: Omit<PrepTimeResult, 'beside' | 'revalidate' | 'revalidate_now'>
  readonly answer: 'shown' | 'not-shown' | 'cannot-tell'
  readonly sentence: string
  readonly cautions: readonly string[]
}

/** One-sided 95 % of the normal: the calibration's part, which all batches share, is set against the bound whole. */
const ONE_SIDED = 1.645

/** What the pooled batches say of the planned prep time. Nothing is decided by rule of thumb or physics. */
export const prepTime = (plan: PrepTimePlan, pooled: readonly MemberFacts[]): PrepFound => {
  const times = pooled.map((m) => ({ m, ...minutesOf(plan, m.facts) }))
  const found = times.flatMap(({ minutes }) => minutes ?? [])
  const minutes = measure(found, 'upper', plan)
  const off = potencies(pooled, (m) => reachedAt(m.facts, plan.prep_min), plan)
  const after = potencies(pooled, (m) => leftAfterPurge(m.facts, plan.prep_min), plan)
  const criteria = [
    timeCriterion(plan, times, minutes.bound),
    potencyCriterion('at-ozone-off', plan, pooled, off),
    potencyCriterion('after-purge', plan, pooled, after),
  ]
  const recommended = minutes.bound && Math.ceil(2 * minutesBound(minutes.bound) - 1e-9) / 2
  const few = [
    ...shortOf(plan, pooled),
    ...dayReason(times.map(({ m, minutes: own }) => ({ day: m.facts.day, minutes: own?.value }))),
  ]
  const notMet = criteria.filter((c) => c.met === false)
  const open = criteria.filter((c) => c.met === null)
  const answer =
    few.length > 0 || (notMet.length === 0 && open.length > 0)
      ? 'cannot-tell'
      : notMet.length > 0
        ? 'not-shown'
        : 'shown'
  return {
    detail: {
      kind: 'prep-time',
      minutes,
      potency_off_mg_l: off.measure,
      potency_after_mg_l: after.measure,
      criteria,
      recommended_min: recommended,
      recommended_text: recommended === null ? null : recommendation(plan, pooled, recommended),
      costs: costsOf(plan, found),
    },
    answer,
    sentence: sentenceOf(plan, answer, pooled, [
      ...few,
      ...notMet.map((c) => c.text),
      ...(pooled.length < 2 ? [] : open.map((c) => c.text)),
    ]),
    cautions: cautionsOf(plan, pooled, found),
  }
}

type Timed = { readonly m: MemberFacts } & ReturnType<typeof minutesOf>

const measure = (
  values: readonly Relative[],
  side: 'upper' | 'lower',
  plan: PrepTimePlan,
): PrepTimeResult['minutes'] => {
  if (values.length < 2) return { spread: null, bound: null }
  const { value, k, n, sdLog } = logToleranceBound(
    values.map((v) => v.value),
    side,
    demandOf(plan),
  )
  const common = ONE_SIDED * Math.max(...values.map((v) => v.calibration))
  return {
    spread: spreadOf(values),
    bound: {
      ...{ side, value, k, batches: n, spread_percent: 100 * sdLog },
      with_calibration: common > 0 ? value * Math.exp(side === 'upper' ? common : -common) : null,
    },
  }
}

const minutesBound = ({ value, with_calibration }: TrialBound): number => with_calibration ?? value

interface Potencies {
  readonly measure: PrepTimeResult['minutes']
  readonly missing: readonly MemberFacts[]
}

const potencies = (
  pooled: readonly MemberFacts[],
  of: (m: MemberFacts) => Relative | undefined,
  plan: PrepTimePlan,
): Potencies => ({
  measure: measure(
    pooled.flatMap((m) => of(m) ?? []),
    'lower',
    plan,
  ),
  missing: pooled.filter((m) => of(m) === undefined),
})

type Criterion = PrepTimeResult['criteria'][number]

/** A batch that was too slow to be timed is no missing value: leaving it out would flatter the rest. */
const timeCriterion = (plan: PrepTimePlan, times: readonly Timed[], bound: TrialBound | null): Criterion => {
  const name = 'time' as const
  const aim =
    plan.criterion.kind === 'fraction' ? `${plan.criterion.percent} % of what it levels off at` : 'the target'
  const slow = times.filter((t) => t.tooSlow)
  if (slow.length > 0)
    return {
      name,
      met: false,
      text: `${numbers(slow.map((t) => t.m))} did not reach ${aim} in ${plan.prep_min} min`,
    }
  const missing = times.filter((t) => t.minutes === undefined)
  if (missing.length > 0)
    return {
      name,
      met: null,
      text: `the time of ${missing.map((t) => `${numberOf(t.m)} (${t.why.replaceAll('-', ' ')})`).join(', ')} could not be found`,
    }
  if (!bound) return { name, met: null, text: 'a bound of the time needs two batches at least' }
  const reached = minutesBound(bound)
  return {
    name,
    met: reached <= plan.prep_min,
    text: `${plan.coverage_percent} % of batches reach ${aim} within ${decimal(reached, 1)} min; ${plan.prep_min} min were planned`,
  }
}

const potencyCriterion = (
  name: 'at-ozone-off' | 'after-purge',
  plan: PrepTimePlan,
  pooled: readonly MemberFacts[],
  { measure: { bound }, missing }: Potencies,
): Criterion => {
  const when = name === 'at-ozone-off' ? `at ozone-off after ${plan.prep_min} min` : 'after the purge'
  const unlike = referencesIn(pooled)
  if (unlike !== undefined)
    return { name, met: null, text: `the potency ${when} cannot be judged: ${unlike}` }
  if (missing.length > 0)
    return { name, met: null, text: `the potency ${when} of ${numbers(missing)} could not be found` }
  if (!bound) return { name, met: null, text: `a bound of the potency ${when} needs two batches at least` }
  const least = minutesBound(bound)
  return {
    name,
    met: least >= plan.target_mg_l,
    text: `${plan.coverage_percent} % of batches hold at least ${decimal(least, 1)} µg/mL ${when}; the target is ${decimal(plan.target_mg_l, 1)} µg/mL`,
  }
}

const referencesIn = (pooled: readonly MemberFacts[]): string | undefined => {
  const sets = new Set(pooled.map((m) => m.facts.summary.measured_against.join(' and ')))
  if ([...sets].some((s) => s.includes(UNCALIBRATED) || s === '')) return 'the meter is not calibrated'
  return sets.size > 1
    ? `the batches were measured against different references (${[...sets].join('; ')})`
    : undefined
}

const numbers = (members: readonly MemberFacts[]): string => members.map(numberOf).join(', ')

const shortOf = (plan: PrepTimePlan, pooled: readonly MemberFacts[]): string[] => {
  const days = daysOf(pooled).length
  return [
    ...(pooled.length < plan.batches
      ? [`${pooled.length} of the ${plan.batches} batches planned are there`]
      : []),
    ...(days < plan.days ? [`they were made on ${days} of the ${plan.days} days planned`] : []),
  ]
}

const sentenceOf = (
  plan: PrepTimePlan,
  answer: PrepFound['answer'],
  pooled: readonly MemberFacts[],
  why: readonly string[],
): string => {
  const basis = `${pooled.length} ${pooled.length === 1 ? 'batch' : 'batches'} on ${daysOf(pooled).length} ${daysOf(pooled).length === 1 ? 'day' : 'days'}, ${plan.confidence_percent} % confidence`
  if (answer === 'shown')
    return `${plan.prep_min} min are enough for this kit as planned: ${plan.coverage_percent} % of batches meet the time and hold at least ${decimal(plan.target_mg_l, 1)} µg/mL at ozone-off and after the purge (${basis}).`
  const lead =
    answer === 'not-shown'
      ? `It is not shown that ${plan.prep_min} min are enough`
      : `Whether ${plan.prep_min} min are enough cannot be told yet`
  return `${lead}: ${[...new Set(why)].join('; ')} (${basis}).`
}

/** What a recommended time would give, by the same bounds. */
const recommendation = (plan: PrepTimePlan, pooled: readonly MemberFacts[], minutes: number): string => {
  const bound = (of: (m: MemberFacts) => Relative | undefined) => {
    const { bound: found } = potencies(pooled, of, plan).measure
    return found && minutesBound(found)
  }
  const least = [bound((m) => reachedAt(m.facts, minutes)), bound((m) => leftAfterPurge(m.facts, minutes))]
  const lowest = least.some((l) => l === null) ? null : Math.min(...least.map((l) => l ?? 0))
  const potency =
    lowest === null || referencesIn(pooled) !== undefined
      ? 'what they then hold cannot be judged'
      : lowest >= plan.target_mg_l
        ? `they then hold at least ${decimal(lowest, 1)} µg/mL, above the target`
        : `they then hold at least ${decimal(lowest, 1)} µg/mL only, below the target: more time alone does not get there`
  return `${decimal(minutes, 1)} min for ${plan.volume_ml} mL at this setting cover ${plan.coverage_percent} % of batches; ${potency}.`
}
