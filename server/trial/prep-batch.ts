import type { BatchFacts } from './batch-facts.ts'
import { type Relative, together } from './quantity.ts'
import type { PrepTimePlan } from './trial.ts'

/** What one batch says of a prep time. */
export interface PrepBatch {
  /** From ozone-free fluid to the planned part of the plateau, or to the target, min. */
  readonly minutes: Relative | undefined
  /** The target lies above what it levels off at, or it was not there after the whole rise. */
  readonly tooSlow: boolean
  readonly why: string
}

/**
 * Time to the criterion from the fit of the rise, C = Css(1 − e^(−kt)): −ln(1 − x)/k, x the planned part, or target/Css.
 * Errors of Css and k are taken as independent; a fit makes them pull against each other, so the interval errs on the wide side.
 */
export const minutesOf = (plan: PrepTimePlan, facts: BatchFacts): PrepBatch => {
  const none = { minutes: undefined, tooSlow: false }
  const atLeast = facts.atLeastMin
  if (plan.criterion.kind === 'fraction') {
    const { t95FromZero } = facts
    if (t95FromZero === undefined)
      return { ...none, tooSlow: atLeast !== undefined && atLeast >= plan.prep_min, why: facts.whyNoRise }
    const part = -Math.log1p(-plan.criterion.percent / 100) / Math.log(20)
    return { minutes: { ...t95FromZero, value: part * t95FromZero.value }, tooSlow: false, why: '' }
  }
  const { plateau, rate } = facts
  if (plateau === undefined || rate === undefined) return { ...none, why: facts.whyNoRise }
  const x = plan.target_mg_l / plateau.value
  if (x >= 1) return { ...none, tooSlow: true, why: 'it levels off below the target' }
  const folds = -Math.log1p(-x)
  const steep = x / ((1 - x) * folds)
  return {
    minutes: {
      value: folds / rate.value,
      se: together(rate.se, steep * plateau.se),
      calibration: steep * plateau.calibration,
    },
    tooSlow: false,
    why: '',
  }
}

/** What the fitted rise reaches at a moment after ozone-on, mg/L: Css(1 − e^(−kt)). */
export const reachedAt = ({ plateau, rate }: BatchFacts, minutes: number): Relative | undefined => {
  if (plateau === undefined || rate === undefined) return undefined
  const kt = rate.value * minutes
  const reached = -Math.expm1(-kt)
  return {
    value: plateau.value * reached,
    se: together(plateau.se, ((kt * Math.exp(-kt)) / reached) * rate.se),
    calibration: plateau.calibration,
  }
}

/**
 * What is left after the purge when ozone goes off at the planned moment: the value after this batch's own purge, in proportion
 * to what the rise had reached at the two moments.
 */
export const leftAfterPurge = (facts: BatchFacts, minutes: number): Relative | undefined => {
  const { afterPurge, ozoneMin } = facts
  if (afterPurge === undefined || ozoneMin === undefined) return undefined
  const planned = reachedAt(facts, minutes)
  const own = reachedAt(facts, ozoneMin)
  if (planned === undefined || own === undefined) return undefined
  return { ...afterPurge, value: (afterPurge.value * planned.value) / own.value }
}
