import { blockMedians } from '../fit/block-medians.ts'
import { at } from '../fit/linear-algebra.ts'
import { orderShape } from '../fit/rate-shape.ts'
import { worthOf } from '../fit/residual-worth.ts'
import { fitSeparable } from '../fit/separable-fit.ts'
import { decayModel } from '../fit/separable-model.ts'
import type { OrderOdds } from '../forecast/decay-state.ts'
import type { DecayOrder } from '../model/decay-order.ts'

/** First order is the rule; the others must earn their weight from the record. Engineering judgement. */
const BEFOREHAND: readonly (readonly [DecayOrder, number])[] = [
  [1, 0.9],
  [1.5, 0.05],
  [2, 0.05],
]
const BLOCKS = 96
/** Folds of decay before a bend can be told from noise at all. */
const LEAST_FOLDS = 0.2
const NEGLIGIBLE = 0.02

/**
 * How probable each order is by a record too short to be reported as one, and what each says of potency and rate at
 * `minutes` over what first order says. Weights by likelihood, with as many readings as the residuals are worth.
 */
export const orderOdds = (
  times: Float64Array,
  values: Float64Array,
  rate: number,
  minutes: number,
): OrderOdds[] => {
  const n = times.length
  if (n < BLOCKS || rate * (at(times, n - 1) - at(times, 0)) < LEAST_FOLDS) return []
  const thin = blockMedians(times, values, BLOCKS)
  const tried = BEFOREHAND.map(([order, weight]) => ({
    order,
    weight,
    ...seenAs(order, thin, rate, minutes),
  }))
  const first = tried[0]
  if (first === undefined || tried.some((t) => !Number.isFinite(t.rss))) return []
  const best = tried.reduce((a, b) => (b.rss < a.rss ? b : a))
  const odds = tried.map((t) => t.weight * (t.rss / best.rss) ** (-best.worth / 2))
  const total = odds.reduce((a, b) => a + b, 0)
  return tried
    .map((t, i) => ({
      order: t.order,
      weight: at(odds, i) / total,
      rateFactor: t.rateNow / first.rateNow,
      potencyFactor: t.now / first.now,
    }))
    .filter((t) => t.weight > NEGLIGIBLE)
}

const seenAs = (
  order: DecayOrder,
  thin: { readonly times: Float64Array; readonly values: Float64Array },
  rate: number,
  minutes: number,
) => {
  const fit = fitSeparable(decayModel(thin.times, orderShape(order, undefined), undefined, 1), thin.values, {
    start: rate,
    lowest: rate / 30,
    highest: rate * 30,
    tolerance: 1e-6,
  })
  if (fit.kind === 'refused') return { rss: Number.NaN, worth: 1, now: 1, rateNow: 1 }
  const left = new Float64Array(1)
  orderShape(order, undefined)(fit.rate, Float64Array.of(minutes), left, new Float64Array(1))
  return {
    rss: fit.rss,
    worth: worthOf(fit.residuals),
    now: at(fit.linear, 0) * at(left, 0),
    rateNow: fit.rate * at(left, 0) ** (order - 1),
  }
}
