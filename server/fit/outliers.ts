import { at } from './linear-algebra.ts'

/** Half-width of the band of ordinary readings, in robust standard deviations. */
const ORDINARY = 5
/** Turns a median absolute deviation into a standard deviation for normal noise: 1/Φ⁻¹(3/4). */
const MAD_TO_SD = 1.4826
const SAMPLED = 400

/** Robust standard deviation of residuals: scaled median absolute deviation of at most 400 of them. */
export const robustSd = (residuals: Float64Array): number => {
  const n = residuals.length
  const taken = Math.min(SAMPLED, n)
  const sizes = new Float64Array(taken)
  for (let k = 0; k < taken; k++) sizes[k] = Math.abs(residuals[Math.floor((k * n) / taken)] as number)
  sizes.sort()
  return MAD_TO_SD * at(sizes, taken >> 1)
}

/**
 * Marks residuals that stand out by more than five robust standard deviations, and by more than 1.5 steps of the
 * display. Returns how many; `marks[i]` is 1 where reading i stands out.
 */
export const markOutliers = (residuals: Float64Array, resolution: number, marks: Uint8Array): number => {
  const limit = Math.max(ORDINARY * robustSd(residuals), 1.5 * resolution)
  let found = 0
  for (let i = 0; i < residuals.length; i++) {
    const out = Math.abs(residuals[i] as number) > limit ? 1 : 0
    marks[i] = out
    found += out
  }
  return found
}

/** Step of the display: the smallest change between neighbours that is not nothing. 0 when nothing changes. */
export const resolutionOf = (values: Float64Array): number => {
  let smallest = Number.POSITIVE_INFINITY
  for (let i = 1; i < values.length; i++) {
    const change = Math.abs((values[i] as number) - (values[i - 1] as number))
    if (change > 1e-9 && change < smallest) smallest = change
  }
  return Number.isFinite(smallest) ? smallest : 0
}
