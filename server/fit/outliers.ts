import { at } from './linear-algebra.ts'

/** Half-width of the band of ordinary readings, in robust standard deviations. */
const ORDINARY = 5
/** Turns a median absolute deviation into a standard deviation for normal noise: 1/Φ⁻¹(3/4). */
const MAD_TO_SD = 1.4826
const SAMPLED = 400

/** Which of n residuals stand for all of them: at most 400, evenly spread. */
export const sampleOf = (n: number): Int32Array => {
  const taken = Math.min(SAMPLED, n)
  return new Int32Array(taken).map((_, k) => Math.floor((k * n) / taken))
}

export const pick = (values: Float64Array, indices: Int32Array): Float64Array => {
  const picked = new Float64Array(indices.length)
  for (let k = 0; k < picked.length; k++) picked[k] = values[indices[k] as number] as number
  return picked
}

/** Robust standard deviation of residuals: scaled median absolute deviation of at most 400 of them. */
export const robustSd = (residuals: Float64Array): number => {
  const sizes = pick(residuals, sampleOf(residuals.length)).map(Math.abs).sort()
  return MAD_TO_SD * at(sizes, sizes.length >> 1)
}

/**
 * Residuals that stand out by more than five robust standard deviations, and by more than 1.5 steps of the display, are
 * outliers.
 */
export const outlierLimit = (residuals: Float64Array, resolution: number): number =>
  Math.max(ORDINARY * robustSd(residuals), 1.5 * resolution)

/** The smallest change to the reading before, from reading `from` on; infinite when nothing changes. */
export const smallestStep = (values: Float64Array, from: number): number => {
  let smallest = Number.POSITIVE_INFINITY
  for (let i = Math.max(1, from); i < values.length; i++) {
    const change = Math.abs((values[i] as number) - (values[i - 1] as number))
    if (change > 1e-9 && change < smallest) smallest = change
  }
  return smallest
}
