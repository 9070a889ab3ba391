import { blockMedians } from '../fit/block-medians.ts'
import type { CurveData } from '../fit/curve-fit.ts'
import { at } from '../fit/linear-algebra.ts'
import { orderShape } from '../fit/rate-shape.ts'
import { worthOf } from '../fit/residual-worth.ts'
import { fitSeparable } from '../fit/separable-fit.ts'
import { decayModel, flooredModel, type SeparableModel } from '../fit/separable-model.ts'
import type { DecayOrder } from '../model/decay-order.ts'

export interface DecayKind {
  readonly order: DecayOrder
  readonly floored: boolean
}

/** Another order is believed only over this many half-lives, a floor only over more, and both by this AICc margin. */
export const ORDER_HALF_LIVES = 1.5
const FLOOR_HALF_LIVES = 3
const MARGIN = 10
const BLOCKS = 96

/**
 * First order unless the record is long and something else is clearly better. Compared on block medians, by AICc with
 * as many observations as the residuals of the better fit are worth: neighbours are not independent.
 */
export const decayKind = (data: CurveData, rate: number): DecayKind => {
  const first: DecayKind = { order: 1, floored: false }
  const span = at(data.times, data.times.length - 1) - at(data.times, 0)
  const halfLives = (span * rate) / Math.LN2
  if (data.knownSd !== undefined || halfLives < ORDER_HALF_LIVES) return first
  const blocks = blockMedians(data.times, data.values, BLOCKS)
  const plain = left(blocks.values, decayModel(blocks.times, orderShape(1, undefined), undefined, 1), rate)
  const others = [
    ...([1.5, 2] as const).map((order) => ({
      kind: { order, floored: false } as DecayKind,
      fit: left(blocks.values, decayModel(blocks.times, orderShape(order, undefined), undefined, 1), rate),
      parameters: 2,
    })),
    ...(halfLives < FLOOR_HALF_LIVES
      ? []
      : [
          {
            kind: { order: 1, floored: true } as DecayKind,
            fit: left(blocks.values, flooredModel(blocks.times, orderShape(1, undefined)), rate),
            parameters: 3,
          },
        ]),
  ]
  let best = first
  let gained = MARGIN
  for (const { kind, fit, parameters } of others) {
    const gain = fit.worth * Math.log(plain.rss / fit.rss) - 2 * (parameters - 2)
    if (gain > gained) {
      best = kind
      gained = gain
    }
  }
  return best
}

const left = (values: Float64Array, model: SeparableModel, rate: number): { rss: number; worth: number } => {
  const fit = fitSeparable(model, values, {
    start: rate,
    lowest: rate / 30,
    highest: rate * 30,
    tolerance: 1e-6,
  })
  if (fit.kind === 'refused') return { rss: Number.POSITIVE_INFINITY, worth: 0 }
  return { rss: fit.rss, worth: worthOf(fit.residuals) }
}
