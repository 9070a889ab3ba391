import type { DecayOrder } from '../model/decay-order.ts'
import { at } from './linear-algebra.ts'

/**
 * How far a batch still is from where it is heading, as a fraction g(t; rate): 1 at t = 0, falling to 0. Fills `g` and
 * `slope` = ∂g/∂ln(rate) at n times. Times in any unit, rate in its inverse.
 */
export type RateShape = (rate: number, times: Float64Array, g: Float64Array, slope: Float64Array) => void

/**
 * g = e^(−rate·t). Where readings follow one another by the usual step it is a running product, an order of magnitude
 * cheaper than exponentials and good to n·1e-16; after a gap it starts afresh.
 */
export const exponentialShape =
  (usualStep: number | undefined): RateShape =>
  (rate, times, g, slope) => {
    const n = times.length
    const step = usualStep ?? Number.NaN
    const factor = Math.exp(-rate * step)
    const allowed = STEP_TOLERANCE * step
    let before = Number.NaN
    let value = 0
    for (let i = 0; i < n; i++) {
      const t = times[i] as number
      if (Math.abs(t - before - step) <= allowed) value *= factor
      else value = Math.exp(-rate * t)
      before = t
      g[i] = value
      slope[i] = -rate * t * value
    }
  }

/** Steps this much alike, relative, count as one: rounding of stored times, not jitter. */
const STEP_TOLERANCE = 1e-9

/**
 * The same seen by a probe with time constant τ that had settled before t = 0, k = rate, q = 1/τ:
 * g = (q·e^(−k t) − k·e^(−q t))/(q − k), and (1 + k t)·e^(−k t) where q = k. Written as e^(−k t)(1 + k t·φ((q − k)t)),
 * φ(x) = (1 − e^(−x))/x, which has no gap at q = k.
 */
export const laggedShape =
  (tau: number): RateShape =>
  (rate, times, g, slope) => {
    const q = 1 / tau
    for (let i = 0; i < times.length; i++) {
      const t = times[i] as number
      const x = (q - rate) * t
      // far below zero e^(−x) overflows while e^(−rate·t) vanishes; there the probe alone is left
      if (x < -30) farSlowerProbe(rate, q, t, i, g, slope)
      else {
        const e = Math.exp(-rate * t)
        const phi = Math.abs(x) < 1e-8 ? 1 - x / 2 : -Math.expm1(-x) / x
        const phiSlope = Math.abs(x) < 1e-3 ? -0.5 + x / 3 - (x * x) / 8 : (Math.exp(-x) - phi) / x
        const value = e * (1 + rate * t * phi)
        g[i] = value
        slope[i] = rate * (-t * value + e * t * (phi - rate * t * phiSlope))
      }
    }
  }

const farSlowerProbe = (
  rate: number,
  q: number,
  t: number,
  i: number,
  g: Float64Array,
  slope: Float64Array,
): void => {
  const fast = Math.exp(-rate * t)
  const slow = Math.exp(-q * t)
  const value = (q * fast - rate * slow) / (q - rate)
  g[i] = value
  slope[i] = rate * ((-t * q * fast - slow) / (q - rate) + value / (q - rate))
}

/** Decay of order n in units of its starting rate · n = 1: e^(−rate·t); else (1 + (n − 1)·rate·t)^(1/(1 − n)). */
export const orderShape = (order: DecayOrder, usualStep: number | undefined): RateShape =>
  order === 1 ? exponentialShape(usualStep) : powerShape(order)

const powerShape =
  (order: 1.5 | 2): RateShape =>
  (rate, times, g, slope) => {
    for (let i = 0; i < times.length; i++) {
      const t = times[i] as number
      const base = 1 + (order - 1) * rate * t
      const value = order === 2 ? 1 / base : 1 / (base * base)
      g[i] = value
      slope[i] = (-rate * t * value) / base
    }
  }

/** The step most readings follow one another by: the median of the first fifteen. Undefined for fewer than three. */
export const usualStepOf = (times: Float64Array): number | undefined => {
  const n = Math.min(16, times.length)
  if (n < 3) return undefined
  const steps = Float64Array.from({ length: n - 1 }, (_, i) => at(times, i + 1) - at(times, i)).sort()
  return at(steps, (n - 1) >> 1)
}
