import type { BatchSummary, FitSummary } from '../wire.ts'
import { band, decimal, NO_NUMBER } from './format.ts'
import { reason } from './reasons.ts'

type Estimate = NonNullable<FitSummary['plateau_mg_l']>

/** A fitted number never travels without its interval: "24.1 (23.9 to 24.3)", "at least 31.0", or a dash. */
export const estimateText = (estimate: Estimate | null, places: number): string => {
  if (estimate === null) return NO_NUMBER
  const { value, low, high, bound, why } = estimate
  const because = why === null ? '' : ` (${reason(why)})`
  if (bound !== null) {
    const limit = bound === 'at-least' ? (low ?? value) : (high ?? value)
    return `${bound === 'at-least' ? 'at least' : 'at most'} ${decimal(limit, places)}${because}`
  }
  if (value === null) return why === null ? NO_NUMBER : `not given${because}`
  return `${decimal(value, places)} (${band(low, high, places) ?? 'no interval'}${withCalibration(estimate, places)})`
}

/** Said only where it makes a difference that shows. */
const withCalibration = ({ low, high, full }: Estimate, places: number): string => {
  if (full === undefined) return ''
  const text = band(full.low, full.high, places)
  return text === null || text === band(low, high, places) ? '' : `; with the calibration ${text}`
}

/** With its unit, or words where there is nothing to give a unit to. */
export const estimateIn = (estimate: Estimate | null, places: number, unit: string): string =>
  estimate === null ? 'not found' : `${estimateText(estimate, places)} ${unit}`

export const summaryTexts = (summary: BatchSummary) => ({
  plateau: estimateText(summary.plateau_mg_l, 1),
  t95: estimateText(summary.t95_min, 1),
  halfLife: estimateText(summary.half_life_min, 1),
  halfLife20: estimateText(summary.half_life_20c_min, 1),
})
