import { at } from './linear-algebra.ts'
import { dot } from './separable-fit.ts'
import type { SeparableModel } from './separable-model.ts'

const CANDIDATES = 14

/** First guess of a rate: the best of 14, evenly spaced in the logarithm from 0.02 to 50 over the span. */
export const startRate = (model: SeparableModel, times: Float64Array, observed: Float64Array): number => {
  const span = at(times, times.length - 1) - at(times, 0)
  let best = 1 / span
  let least = Number.POSITIVE_INFINITY
  for (let c = 0; c < CANDIDATES; c++) {
    const rate = (0.02 * 2500 ** (c / (CANDIDATES - 1))) / span
    const left = unexplained(model, observed, rate)
    if (left < least) {
      least = left
      best = rate
    }
  }
  return best
}

/** Sum of squares left by the linear parameters at a rate, by Gram-Schmidt on a few short columns. */
const unexplained = (model: SeparableModel, observed: Float64Array, rate: number): number => {
  model.setRate(rate)
  const rest = observed.slice()
  const basis: Float64Array[] = []
  for (const column of model.columns) {
    const c = column.slice()
    const before = dot(c, c)
    for (const b of basis) remove(c, b)
    if (dot(c, c) > 1e-12 * before) {
      remove(rest, c)
      basis.push(c)
    }
  }
  return dot(rest, rest)
}

const remove = (from: Float64Array, along: Float64Array): void => {
  const factor = dot(from, along) / dot(along, along)
  for (let i = 0; i < from.length; i++) from[i] = at(from, i) - factor * at(along, i)
}
