import type { TrialSpread } from '../wire.ts'
import type { Relative } from './quantity.ts'
import { randomEffects } from './stats/random-effects.ts'

/** Batches together on the log scale, each with its own standard error; null below two. */
export const spreadOf = (values: readonly Relative[]): TrialSpread | null => {
  if (values.length < 2) return null
  const found = randomEffects(values.map(({ value, se }) => ({ value: Math.log(value), se })))
  const within = Math.sqrt(values.reduce((s, v) => s + v.se ** 2, 0) / values.length)
  return {
    batches: found.n,
    mean: Math.exp(found.mean),
    low: Math.exp(found.ci95[0]),
    high: Math.exp(found.ci95[1]),
    between_percent: 100 * Math.sqrt(found.tau2),
    within_percent: 100 * within,
    i2_percent: 100 * found.i2,
    q: found.q,
    q_p: found.qP,
  }
}
