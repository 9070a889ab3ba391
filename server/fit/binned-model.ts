import { at } from './linear-algebra.ts'
import type { BinSums } from './reading-bins.ts'
import type { SeparableModel } from './separable-model.ts'

/** Builds the model on any subset of the readings. */
export type ModelAt = (times: Float64Array) => SeparableModel

/**
 * A curve as bins see it, two rows a bin: its mean over the readings and its slope there, weighted so that least squares
 * on these rows is least squares on the readings. By two-point Gauss quadrature, one standard deviation of the times to
 * each side of their mean: exact for bins of two readings, off by (rate·width)⁴/4320 of the curve for wide ones.
 */
export const binnedModel = (bins: readonly BinSums[], modelAt: ModelAt): SeparableModel => {
  if (areSingle(bins)) return modelAt(Float64Array.from(bins, (bin) => bin.time))
  const inner = modelAt(nodesOf(bins))
  const halfRoots = Float64Array.from(bins, (bin) => Math.sqrt(bin.count) / 2)
  const columns = inner.columns.map(() => new Float64Array(2 * bins.length))
  const slopes = inner.slopes.map((s) => s && new Float64Array(2 * bins.length))
  return {
    columns,
    slopes,
    setRate: (rate) => {
      inner.setRate(rate)
      inner.columns.forEach((column, l) => {
        intoRows(column, halfRoots, columns[l] as Float64Array)
        const slope = inner.slopes[l]
        if (slope !== undefined) intoRows(slope, halfRoots, slopes[l] as Float64Array)
      })
    },
  }
}

/** What was read, in the rows of `binnedModel`: first all means, then all slopes. */
export const observedIn = (bins: readonly BinSums[]): Float64Array => {
  if (areSingle(bins)) return Float64Array.from(bins, (bin) => bin.value)
  const rows = new Float64Array(2 * bins.length)
  bins.forEach(({ count, value, tt, ty }, b) => {
    rows[b] = Math.sqrt(count) * value
    rows[bins.length + b] = tt > 0 ? ty / Math.sqrt(tt) : 0
  })
  return rows
}

/** Sum of squares of the readings about a straight line in each bin: what no curve this smooth can explain. */
export const scatterWithin = (bins: readonly BinSums[]): number =>
  bins.reduce((sum, { tt, ty, yy }) => sum + (tt > 0 ? Math.max(0, yy - (ty * ty) / tt) : 0), 0)

const areSingle = (bins: readonly BinSums[]): boolean => bins.every((bin) => bin.count === 1)

/** Two times a bin, in order, never outside its readings. */
const nodesOf = (bins: readonly BinSums[]): Float64Array => {
  const nodes = new Float64Array(2 * bins.length)
  bins.forEach((bin, b) => {
    const spread = Math.sqrt(bin.tt / bin.count)
    nodes[2 * b] = Math.max(bin.first, bin.time - spread)
    nodes[2 * b + 1] = Math.min(bin.last, bin.time + spread)
  })
  return nodes
}

const intoRows = (nodes: Float64Array, halfRoots: Float64Array, rows: Float64Array): void => {
  const n = halfRoots.length
  for (let b = 0; b < n; b++) {
    const before = nodes[2 * b] as number
    const after = nodes[2 * b + 1] as number
    rows[b] = (halfRoots[b] as number) * (after + before)
    rows[n + b] = (halfRoots[b] as number) * (after - before)
  }
}

/** Values of a curve at the times its model was made for. */
export const curveAt = (model: SeparableModel, rate: number, linear: Float64Array): Float64Array => {
  model.setRate(rate)
  const out = new Float64Array(model.columns[0]?.length ?? 0)
  model.columns.forEach((column, l) => {
    const factor = at(linear, l)
    for (let i = 0; i < out.length; i++) out[i] = (out[i] as number) + factor * (column[i] as number)
  })
  return out
}
