import { at } from '../fit/linear-algebra.ts'
import { USELESS } from './quantities.ts'

const TWO_SIDED = 1.959964
/** Common distance of spot readings when there is only one to go by, min. */
const USUAL_APART_MIN = 10
/** Largest standard error of ln(rate) that still gives a half-life: sinh(1.96·s) is the half-width. */
const LARGEST_SE = Math.asinh(USELESS) / TWO_SIDED

/**
 * Standard error of ln(rate) as a few readings must be judged: at a rate one standard error lower than the fitted one,
 * so that a steep pair of readings does not pass for a sure one by its luck.
 */
export const cautiousLogSe = (logSe: number): number =>
  logSe < 1 ? logSe / (1 - logSe) : Number.POSITIVE_INFINITY

/**
 * What one more spot reading would give. Readings known to u percent make ln C known to u/100, and the rate to
 * (u/100)/√Σ(t − t̄)². Times in minutes since flow-off, rate in 1/min when there is one.
 */
export const oneMoreReading = (
  times: Float64Array,
  uPercent: number,
  rate: number | undefined,
): string | undefined => {
  const n = times.length
  if (n === 0) return undefined
  const apart = n === 1 ? USUAL_APART_MIN : (at(times, n - 1) - at(times, 0)) / (n - 1)
  const next = at(times, n - 1) + apart
  const rateSe = uPercent / 100 / Math.sqrt(sumOfSquares([...times, next]))
  const shortest = (Math.LN2 / rateSe) * (LARGEST_SE / (1 + LARGEST_SE))
  const when = `one more reading, ${Math.round(apart)} min after the last,`
  if (n === 1 || rate === undefined || !(rate > 0))
    return `${when} would tell a half-life of up to ${shortest.toFixed(0)} min`
  const half = Math.LN2 / rate
  const factor = Math.exp((TWO_SIDED * rateSe) / rate)
  return half <= shortest
    ? `${when} would tell the half-life within a factor of ${factor.toFixed(1)}`
    : `${when} would tell a half-life of up to ${shortest.toFixed(0)} min; this one is longer and needs later readings`
}

const sumOfSquares = (times: readonly number[]): number => {
  const mean = times.reduce((a, b) => a + b, 0) / times.length
  return times.reduce((sum, t) => sum + (t - mean) ** 2, 0)
}
