import type { RateShape } from './rate-shape.ts'

/**
 * A curve that is linear in everything but one rate: y = Σ β·column(rate). `setRate` refills the columns and their
 * derivatives by ln(rate); an absent slope means the column does not depend on the rate.
 */
export interface SeparableModel {
  readonly columns: readonly Float64Array[]
  readonly slopes: readonly (Float64Array | undefined)[]
  readonly setRate: (rate: number) => void
}

/** y = Css + (C0 − Css)·g: columns 1 and g, so β = (Css, C0 − Css). */
export const riseModel = (times: Float64Array, shape: RateShape): SeparableModel => {
  const g = new Float64Array(times.length)
  const slope = new Float64Array(times.length)
  return {
    columns: [new Float64Array(times.length).fill(1), g],
    slopes: [undefined, slope],
    setRate: (rate) => shape(rate, times, g, slope),
  }
}

/** y − C0 = (Css − C0)·(1 − g) with C0 held: one column, β = (Css − C0). */
export const heldStartModel = (times: Float64Array, shape: RateShape): SeparableModel => {
  const column = new Float64Array(times.length)
  const slope = new Float64Array(times.length)
  return {
    columns: [column],
    slopes: [slope],
    setRate: (rate) => {
      shape(rate, times, column, slope)
      for (let i = 0; i < times.length; i++) {
        column[i] = 1 - (column[i] as number)
        slope[i] = -(slope[i] as number)
      }
    },
  }
}

/**
 * y = A_s·g in segment s: one column per segment, so that a step at a draw-up is its own amplitude while the rate is
 * shared. `segments[i]` is the segment of reading i, from 0.
 */
export const decayModel = (
  times: Float64Array,
  shape: RateShape,
  segments: Uint8Array | undefined,
  segmentCount: number,
): SeparableModel => {
  const n = times.length
  const g = new Float64Array(n)
  const slope = new Float64Array(n)
  if (segments === undefined || segmentCount === 1) {
    return { columns: [g], slopes: [slope], setRate: (rate) => shape(rate, times, g, slope) }
  }
  const columns = Array.from({ length: segmentCount }, () => new Float64Array(n))
  const slopes = Array.from({ length: segmentCount }, () => new Float64Array(n))
  return {
    columns,
    slopes,
    setRate: (rate) => {
      shape(rate, times, g, slope)
      for (let i = 0; i < n; i++) {
        const s = segments[i] as number
        ;(columns[s] as Float64Array)[i] = g[i] as number
        ;(slopes[s] as Float64Array)[i] = slope[i] as number
      }
    },
  }
}

/** The model with B·e^(−t/τ) beside it: what is left of the reading's way from where the probe stood before. */
export const besideTransient = (
  model: SeparableModel,
  times: Float64Array,
  timeConstant: number | undefined,
): SeparableModel =>
  timeConstant === undefined
    ? model
    : {
        columns: [...model.columns, times.map((t) => Math.exp(-t / timeConstant))],
        slopes: [...model.slopes, undefined],
        setRate: model.setRate,
      }

/** y = B + A·g: a decay onto a floor, such as a zero offset of the meter. β = (B, A). */
export const flooredModel = riseModel

/** The model with every row multiplied by the root of its weight; observations must be weighted alike. */
export const weightedModel = (model: SeparableModel, rootWeights: Float64Array): SeparableModel => {
  const scaled = (from: Float64Array, to: Float64Array) => {
    for (let i = 0; i < to.length; i++) to[i] = (from[i] as number) * (rootWeights[i] as number)
  }
  const columns = model.columns.map((c) => new Float64Array(c.length))
  const slopes = model.slopes.map((s) => s && new Float64Array(s.length))
  return {
    columns,
    slopes,
    setRate: (rate) => {
      model.setRate(rate)
      model.columns.forEach((c, l) => {
        scaled(c, columns[l] as Float64Array)
        const from = model.slopes[l]
        if (from !== undefined) scaled(from, slopes[l] as Float64Array)
      })
    },
  }
}
