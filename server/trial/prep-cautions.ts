import { decimal } from '../wording/format.ts'
import type { MemberFacts } from './member-facts.ts'
import type { Relative } from './quantity.ts'
import { dayEffect } from './stats/day-effect.ts'
import type { PrepTimePlan } from './trial.ts'

interface Timed {
  readonly day: string
  readonly minutes: number | undefined
}

/** Days differ that far by chance less than once in twenty. */
const DAY_P = 0.05

/** A tolerance bound takes batches for independent; where days show, they are not. */
export const dayReason = (times: readonly Timed[]): string[] => {
  const days = [...new Set(times.map((t) => t.day))]
  const effect = dayEffect(
    days.map((day) => times.flatMap((t) => (t.day === day && t.minutes ? [Math.log(t.minutes)] : []))),
  )
  return effect && effect.p < DAY_P
    ? [
        `batches of one day resemble each other (F ${decimal(effect.f, 1)}, p ${decimal(effect.p, 3)}), so that they count for fewer than they are: more days are needed`,
      ]
    : []
}

export const cautionsOf = (
  plan: PrepTimePlan,
  pooled: readonly MemberFacts[],
  values: readonly Relative[],
): string[] => [
  ...(values.some((v) => v.se > UNSURE)
    ? ['the time of at least one batch is known to no better than 10 %: the bound is wider for that']
    : []),
  ...(pooled.some((m) => (m.facts.ozoneMin ?? plan.prep_min) < SHORT * plan.prep_min)
    ? [
        'at least one batch was bubbled for less than the planned time: what it holds then is carried on by its fit',
      ]
    : []),
]

/** Relative standard error of one batch from which a word is due; part of the planned time. Engineering judgement. */
const UNSURE = 0.1
const SHORT = 0.95
