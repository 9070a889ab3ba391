import type { Interval } from '../fit/interval.ts'
import { at } from '../fit/linear-algebra.ts'
import { USELESS } from './quantities.ts'

export const TWO_SIDED = 1.959964
const ONE_SIDED = 1.644854

/**
 * Half-life a set of spot readings is judged by before its values are looked at, min, where the clinic has no batches of
 * its own. Common practice, no source.
 */
export const PLANNED_HALF_LIFE_MIN = 30
/** A half-life longer than a day is not told apart from no decay at all. */
export const LONGEST_MIN = 24 * 60

/**
 * Relative half-width of the 95 % interval that readings at these times give a half-life · 1.96·u/(k·√Σ(t − t̄)²), as u
 * percent of a reading is u/100 of its logarithm. Knows times and stated uncertainties only, never the readings: were it
 * judged by the fitted rate, intervals would be given just when the fall happened to look steep, and hold less often.
 */
export const plannedHalfWidth = (
  times: readonly number[] | Float64Array,
  uPercent: number,
  halfLifeMin: number,
): number => {
  if (times.length < 2) return Number.POSITIVE_INFINITY
  const rateSe = uPercent / 100 / Math.sqrt(sumOfSquares(times))
  return (TWO_SIDED * rateSe * halfLifeMin) / Math.LN2
}

export type SpotHalfLife =
  | { readonly kind: 'interval'; readonly halfLife: Interval; readonly rate: Interval }
  | { readonly kind: 'at-least'; readonly halfLifeMin: number }

/**
 * Half-life from a few readings. Their errors leave the rate, not its logarithm, normal: ln 2/(k ± 1.96·u(k)). A rate that
 * may be nothing bounds the half-life from below only; so do times too close together, whatever the readings say.
 */
export const spotHalfLife = (rate: number, rateSe: number, isWideEnough: boolean): SpotHalfLife => {
  const low = rate - TWO_SIDED * rateSe
  const high = rate + TWO_SIDED * rateSe
  if (!isWideEnough) return { kind: 'at-least', halfLifeMin: Math.LN2 / (rate + ONE_SIDED * rateSe) }
  if (!(low > Math.LN2 / LONGEST_MIN)) return { kind: 'at-least', halfLifeMin: Math.LN2 / high }
  const value = Math.LN2 / rate
  return {
    kind: 'interval',
    halfLife: { value, se: (value * rateSe) / rate, ci95: [Math.LN2 / high, Math.LN2 / low] },
    rate: { value: rate, se: rateSe, ci95: [low, high] },
  }
}

/** Common distance of spot readings when there is only one to go by, min. */
const USUAL_APART_MIN = 10
const MOST_MORE = 6

/** What one more spot reading would give, and how many it takes when one is not enough. Minutes since flow-off. */
export const oneMoreReading = (
  times: Float64Array,
  uPercent: number,
  halfLifeMin: number,
): string | undefined => {
  const n = times.length
  if (n === 0) return undefined
  const apart = n === 1 ? USUAL_APART_MIN : (at(times, n - 1) - at(times, 0)) / (n - 1)
  const withMore = (more: number) =>
    plannedHalfWidth(
      [...times, ...Array.from({ length: more }, (_, i) => at(times, n - 1) + apart * (i + 1))],
      uPercent,
      halfLifeMin,
    )
  const width = (more: number) => `± ${(100 * withMore(more)).toFixed(0)} %`
  const given = `one more reading, ${Math.round(apart)} min after the last, would tell a half-life of ${halfLifeMin.toFixed(0)} min to ${width(1)}`
  if (withMore(1) <= USELESS) return given
  const enough = Array.from({ length: MOST_MORE }, (_, i) => i + 2).find((more) => withMore(more) <= USELESS)
  return enough === undefined
    ? `${given}, too wide to be of use: take the readings further apart`
    : `${given}, too wide to be of use; ${enough} more to ${width(enough)}`
}

const sumOfSquares = (times: readonly number[] | Float64Array): number => {
  let sum = 0
  for (const t of times) sum += t
  const mean = sum / times.length
  let squares = 0
  for (const t of times) squares += (t - mean) ** 2
  return squares
}
