import { UNCALIBRATED } from '../calibration/measured-against.ts'
import { confounding } from './confounding.ts'
import { daysOf, isPooled, type MemberFacts, numberOf } from './member-facts.ts'
import type { FilledRun } from './runs.ts'
import type { TrialPlan } from './trial.ts'

/** What would make an answer possible that cannot be told: each in words, with the batches it is about. */
export const toDo = (
  plan: TrialPlan,
  members: readonly MemberFacts[],
  runs: readonly FilledRun[],
): string[] => {
  const own = members.filter((m) => m.member.excluded === null)
  const pooled = own.filter(isPooled)
  return [
    ...toBeMade(plan, pooled, runs),
    ...WITHOUT.flatMap(({ what, advice }) => about(own, (m) => m.offPlan.includes(what), advice)),
    ...RISES.flatMap(({ why, advice }) =>
      about(pooled, (m) => hasNoRise(m) && m.facts.whyNoRise === why, advice),
    ),
    ...about(
      pooled,
      (m) => hasNoRise(m) && !RISES.some((r) => r.why === m.facts.whyNoRise),
      'See on the record why there is no number; leave it out with the reason, or make it again',
    ),
    ...references(pooled),
    ...apart(plan, pooled),
  ]
}

const toBeMade = (plan: TrialPlan, pooled: readonly MemberFacts[], runs: readonly FilledRun[]): string[] => {
  const open = runs.filter((r) => r.batch === null)
  const days = plan.days - daysOf(pooled).length
  const [next] = open
  return [
    ...(next
      ? [
          `Make ${open.length} more ${open.length === 1 ? 'batch' : 'batches'} by the run order, next: ${next.what}.`,
        ]
      : []),
    ...(days > 0 ? [`Make batches on ${days} more ${days === 1 ? 'day' : 'days'}.`] : []),
  ]
}

const WITHOUT = [
  {
    what: 'temperature not known',
    advice:
      'Without a temperature a batch cannot count: wire a thermometer, or type the value in while it bubbles',
  },
  {
    what: 'gas not known',
    advice: 'Without a gas value a batch cannot count: enter it when a batch is opened',
  },
  {
    what: 'flow not known',
    advice: 'Without a gas flow a batch cannot count: enter it when a batch is opened',
  },
] as const

const RISES = [
  {
    why: 'plateau-not-reached',
    advice:
      'It did not level off while ozone was on: keep ozone on for longer in the batches to come, or leave it out with the reason',
  },
  {
    why: 'clipped',
    advice:
      'The meter was at the end of its range: a meter with a wider range is needed, or a lower gas value in another trial',
  },
  {
    why: 'probe-lag-unknown',
    advice: 'The probe’s response is not known: make a step test of it under Instruments',
  },
] as const

const hasNoRise = ({ facts }: MemberFacts): boolean => facts.plateau === undefined

const about = (
  members: readonly MemberFacts[],
  is: (member: MemberFacts) => boolean,
  advice: string,
): string[] => {
  const numbers = members.filter(is).map(numberOf)
  return numbers.length === 0 ? [] : [`${advice}: ${numbers.join(', ')}.`]
}

const references = (pooled: readonly MemberFacts[]): string[] => {
  const of = ({ facts }: MemberFacts) => facts.summary.measured_against.join(' and ')
  const bare = pooled.filter((m) => of(m) === '' || of(m).includes(UNCALIBRATED)).map(numberOf)
  const kinds = new Set(pooled.map(of))
  return [
    ...(bare.length > 0
      ? [`Calibrate the meter before the batches are made; these were not covered: ${bare.join(', ')}.`]
      : []),
    ...(bare.length === 0 && kinds.size > 1
      ? [
          `Calibrate against one kind of reference and make the batches after it; these rest on different ones (${[...kinds].join('; ')}).`,
        ]
      : []),
  ]
}

/** Where fluid and day, or fluid and bench, cannot be told apart. */
const apart = (plan: TrialPlan, pooled: readonly MemberFacts[]): string[] => {
  if (plan.kind === 'prep-time') return []
  const groups = plan.groups.map(({ name }) => ({ name, members: pooled.filter((m) => m.group === name) }))
  const isApart = groups.some((a, i) =>
    groups.slice(i + 1).some((b) => confounding(a.members, b.members, [a.name, b.name]).fatal.length > 0),
  )
  return isApart ? ['Make every group on the same days and at the same benches, as the run order says.'] : []
}
