import type { Estimate, Quantity } from '../analysis/schema.ts'
import type { TrialBatch } from '../wire.ts'

/** A positive value with relative standard errors: its own, and the part of the calibration, which batches share. */
export interface Relative {
  readonly value: number
  /** Of the logarithm, from this batch's readings alone. */
  readonly se: number
  /** Of the logarithm, from the calibration; 0 where none is on file. */
  readonly calibration: number
}

/** Half-width of a 95 % interval over its standard error, large samples. */
const Z95 = 1.96

export const relativeOf = (estimate: Estimate | undefined): Relative | undefined => {
  if (estimate === undefined || !(estimate.value > 0)) return undefined
  const { value, se, ci95, full_ci95: full } = estimate
  const half = (ci95[1] - ci95[0]) / 2
  const fullHalf = full ? (full[1] - full[0]) / 2 : half
  const calibration = Math.sqrt(Math.max(0, fullHalf ** 2 - half ** 2)) / Z95 / value
  return { value, se: Math.max(se / value, LEAST_SE), calibration }
}

/** A batch without any scatter of its own still has a weight that is finite. */
const LEAST_SE = 1e-4

export const estimateIn = (quantity: Quantity | undefined): Estimate | undefined =>
  quantity !== undefined && 'value' in quantity ? quantity : undefined

/** With its 95 % interval on the log scale. */
export const pointOf = (found: Relative | undefined): TrialBatch['minutes'] =>
  found === undefined
    ? null
    : {
        value: found.value,
        low: found.value * Math.exp(-Z95 * found.se),
        high: found.value * Math.exp(Z95 * found.se),
      }

/** Independent relative errors in quadrature. */
export const together = (...parts: readonly number[]): number => Math.hypot(...parts)
