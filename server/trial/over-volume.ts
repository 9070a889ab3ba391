import type { TrialView } from '../wire.ts'
import { isPooled, type MemberFacts } from './member-facts.ts'
import { prepTime } from './prep-time.ts'
import type { PrepTimePlan, Trial } from './trial.ts'

type Point = TrialView['over_volume'][number]

/** The same but for the volume: fluid, gas, flow, purge and what is to be reached. */
export const isAlike = (a: PrepTimePlan, b: PrepTimePlan): boolean =>
  ABOUT.every((key) => JSON.stringify(a[key]) === JSON.stringify(b[key]))

const ABOUT = ['fluid', 'fluid_detail', 'gas', 'flow_ml_per_min', 'purge', 'criterion'] as const

/**
 * Prep time over volume, from trials of one setting, smallest volume first. `membersOf`: undefined where a trial is not worked out
 * yet. Empty unless two volumes are there; a trial without a bound is left out.
 */
export const overVolume = (
  trial: Trial,
  trials: readonly Trial[],
  membersOf: (trial: Trial) => readonly MemberFacts[] | undefined,
): Point[] => {
  const { plan } = trial
  if (plan.kind !== 'prep-time') return []
  const points = trials
    .flatMap((other) =>
      other.plan.kind === 'prep-time' && isAlike(other.plan, plan)
        ? pointOf(other, other.plan, membersOf(other))
        : [],
    )
    .sort((a, b) => a.volume_ml - b.volume_ml)
  return new Set(points.map((p) => p.volume_ml)).size < 2 ? [] : points
}

const pointOf = ({ id }: Trial, plan: PrepTimePlan, members: readonly MemberFacts[] | undefined): Point[] => {
  if (members === undefined) return []
  const pooled = members.filter(isPooled)
  const { detail, answer } = prepTime(plan, pooled)
  const { spread, bound } = detail.minutes
  if (spread === null || bound === null) return []
  return [
    {
      ...{ trial: id, title: plan.title, volume_ml: plan.volume_ml, prep_min: plan.prep_min },
      ...{ typical_min: spread.mean, bound_min: bound.with_calibration ?? bound.value },
      ...{ batches: pooled.length, answer },
    },
  ]
}
