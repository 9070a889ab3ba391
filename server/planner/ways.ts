import type { PlanBand } from './band.ts'
import { ratesByPhysics } from './by-physics.ts'
import type { PlanInput } from './plan-input.ts'
import { bandsOver } from './side.ts'

/**
 * One thing changed, the rest left: from where on the target may be reached at flow-off (the best of what cannot be ruled
 * out), and from where on by all of it. Null: not up to `limit`.
 */
export interface Way {
  readonly change: 'cooler-fluid' | 'stronger-gas' | 'longer-bubbling' | 'purge-past-the-fluid'
  readonly unit: string
  readonly now: number
  readonly limit: number
  readonly may_from: number | null
  readonly all_from: number | null
  /** What would be there at flow-off with the change made as far as `all_from`, else as far as `limit`, mg/L. */
  readonly gives_mg_l: PlanBand
}

/** Engineering judgement: above freezing, what a form takes, an hour. */
const COLDEST_C = 2
const STRONGEST_UG_PER_ML = 300
const LONGEST_MIN = 60

/** Computed from physics; none of them is a recommendation. Empty without a target, or where all of it reaches it already. */
export const waysToTarget = (plan: PlanInput): Way[] => {
  const target = plan.targetMgPerL
  if (target === undefined || (flowOff(plan).low ?? 0) >= target) return []
  const { temperatureC, prepMin = 0, gas } = plan
  const found = [
    first(
      { change: 'cooler-fluid', unit: '°C', now: temperatureC, limit: COLDEST_C },
      steps(temperatureC, COLDEST_C, 0.5),
      (celsius) => flowOff({ ...plan, temperatureC: celsius }),
      target,
    ),
    first(
      { change: 'stronger-gas', unit: 'µg/mL', now: gas.ugPerMl, limit: STRONGEST_UG_PER_ML },
      steps(gas.ugPerMl, STRONGEST_UG_PER_ML, 1),
      (ugPerMl) => flowOff({ ...plan, gas: { ...gas, ugPerMl } }),
      target,
    ),
    first(
      { change: 'longer-bubbling', unit: 'min', now: prepMin, limit: LONGEST_MIN },
      steps(prepMin, LONGEST_MIN, 0.5),
      (minutes) => flowOff({ ...plan, prepMin: minutes }),
      target,
    ),
  ]
  return plan.purge === 'through-the-fluid' && plan.purgeMin > 0
    ? [
        ...found,
        first(
          { change: 'purge-past-the-fluid', unit: 'min', now: plan.purgeMin, limit: plan.purgeMin },
          [plan.purgeMin],
          () => flowOff({ ...plan, purge: 'tube-lifted-clear' }),
          target,
        ),
      ]
    : found
}

const flowOff = (plan: PlanInput): PlanBand =>
  bandsOver(ratesByPhysics(plan), plan).flow_off_mg_l ?? { low: null, high: null }

/** On round values from now to the limit, both included. */
const steps = (now: number, limit: number, by: number): number[] => {
  const way = Math.sign(limit - now)
  const round = (way < 0 ? Math.floor(now / by) : Math.ceil(now / by)) * by
  const count = Math.max(0, Math.floor(Math.abs(limit - round) / by + 1e-9))
  return Array.from({ length: count + 1 }, (_, i) => round + way * i * by)
}

type Question = Pick<Way, 'change' | 'unit' | 'now' | 'limit'>

/** The first step at which an end of the band gets to the target; each is looked at once and only as far as needed. */
const first = (
  question: Question,
  at: readonly number[],
  level: (step: number) => PlanBand,
  target: number,
): Way => {
  let may: number | null = null
  let gives: PlanBand = { low: null, high: null }
  for (const step of at) {
    gives = level(step)
    if (may === null && (gives.high ?? 0) >= target) may = step
    if ((gives.low ?? 0) >= target) return { ...question, may_from: may, all_from: step, gives_mg_l: gives }
  }
  return { ...question, may_from: may, all_from: null, gives_mg_l: gives }
}
