import { tQuantiles } from '../fit/student-t.ts'
import type { Spread } from '../model/solubility.ts'
import type { LogSpread } from './input.ts'

/**
 * Band of the next batch: 95 % of batches lie in exp(mean ± t·s·√(1 + 1/n)), with Student's t of the degrees of freedom behind
 * the spread: of three batches the spread is hardly known. `batches`: where the spread does not say what it is worth.
 */
export const bandOfNext = (
  { meanLog, sdLog, worth, degreesOfFreedom }: LogSpread,
  batches: number,
): Spread => {
  const n = Math.max(1, worth ?? batches)
  const t = tQuantiles(Math.max(1, degreesOfFreedom ?? batches - 1)).twoSided
  const reach = t * sdLog * Math.sqrt(1 + 1 / n)
  return { low: Math.exp(meanLog - reach), central: Math.exp(meanLog), high: Math.exp(meanLog + reach) }
}
