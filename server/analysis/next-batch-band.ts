import type { Spread } from '../model/solubility.ts'
import type { LogSpread } from './input.ts'

/** Band of the next batch: two spreads about the mean of the earlier ones, widened for few. */
export const bandOfNext = ({ meanLog, sdLog }: LogSpread, batches: number): Spread => {
  const reach = 2 * sdLog * Math.sqrt(1 + 1 / Math.max(1, batches))
  return { low: Math.exp(meanLog - reach), central: Math.exp(meanLog), high: Math.exp(meanLog + reach) }
}
