import { logInterval } from '../fit/interval.ts'
import { estimate } from './quantities.ts'
import type { Quantity } from './quantity-schema.ts'
import type { AnalysedDecay } from './schema.ts'

/** Normal quantile of a two-sided 95 % interval. */
const Z = 1.959963984540054

/**
 * Minutes from the start of a decay until potency reaches a target · t = t½·log2(C0/C_target). Its interval takes level
 * and half-life as independent: fitted together they go hand in hand, so it is a little wide, never narrow.
 * A bound says why there is no number.
 */
export const aboveTarget = (
  decay: Pick<AnalysedDecay, 'start_mg_l' | 'half_life_min' | 'order'>,
  targetMgPerL: number | undefined,
): Quantity | undefined => {
  const { start_mg_l: start, half_life_min: halfLife } = decay
  if (start === undefined || halfLife === undefined || !('value' in start) || !('value' in halfLife))
    return undefined
  if (decay.order !== 1) return undefined
  if (targetMgPerL === undefined) return { at_least: 0, why: 'target-not-set' }
  if (start.value <= targetMgPerL) return { at_most: 0, why: 'below-target-already' }
  const folds = Math.log2(start.value / targetMgPerL)
  const logSeFolds = start.se / start.value / Math.LN2 / folds
  const logSeHalfLife = Math.log(halfLife.ci95[1] / halfLife.ci95[0]) / (2 * Z)
  return estimate(logInterval(halfLife.value * folds, Math.hypot(logSeFolds, logSeHalfLife), Z))
}
