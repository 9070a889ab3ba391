import type { DecayOrder } from '../model/decay-order.ts'
import { at } from './linear-algebra.ts'

/**
 * How far a batch still is from where it is heading, as a fraction g(t; rate): 1 at t = 0, falling to 0. Fills `g` and
 * `slope` = ∂g/∂ln(rate) at n times. Times in any unit, rate in its inverse.
 */
export type RateShape = (rate: number, times: Float64Array, g: Float64Array, slope: Float64Array) => void

/**
 * g = e^(−rate·t). On an evenly spaced grid it is a running product, an order of magnitude cheaper than n exponentials
 * and good to n·1e-16.
 */
export const exponentialShape =
  (evenStep: number | undefined): RateShape =>
  (rate, times, g, slope) => {
    const n = times.length
    const factor = evenStep === undefined ? 0 : Math.exp(-rate * evenStep)
    let value = evenStep === undefined ? 0 : Math.exp(-rate * at(times, 0))
    for (let i = 0; i < n; i++) {
      const t = times[i] as number
      const e = evenStep === undefined ? Math.exp(-rate * t) : value
      g[i] = e
      slope[i] = -rate * t * e
      value *= factor
    }
  }

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
export const orderShape = (order: DecayOrder, evenStep: number | undefined): RateShape =>
  order === 1 ? exponentialShape(evenStep) : powerShape(order)

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

/** The spacing of an evenly spaced grid; undefined when any step differs by more than rounding. */
export const evenStepOf = (times: Float64Array): number | undefined => {
  const n = times.length
  if (n < 3) return undefined
  const step = (at(times, n - 1) - at(times, 0)) / (n - 1)
  const allowed = 1e-9 * step
  for (let i = 1; i < n; i++) {
    if (Math.abs((times[i] as number) - (times[i - 1] as number) - step) > allowed) return undefined
  }
  return step
}
