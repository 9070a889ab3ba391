import type { FittedCurve } from '../analysis/curves.ts'

/** A fitted phase as drawn: from its own start, with the 95 % band of the curve and the readings it rests on. */
export interface BatchCurve {
  readonly minutes: readonly number[]
  readonly mean: readonly number[]
  readonly low: readonly number[]
  readonly high: readonly number[]
  /** Some of the readings, evenly thinned: minutes, mg/L, and reading less fit, mg/L. */
  readonly seen: readonly (readonly [minute: number, value: number, residual: number])[]
}

/** Of the first filling and the decay after it; null: there is no fit, or its raw readings are gone. */
export interface BatchCurves {
  readonly rise: BatchCurve | null
  readonly decay: BatchCurve | null
}

/** Every second of the points a record is drawn with: a trial lays many curves over each other. */
const EVERY = 2

export const batchCurves = (fitted: readonly FittedCurve[]): BatchCurves => {
  const first = fitted.findIndex((c) => c.kind === 'rise')
  const next = fitted.findIndex((c, i) => i > first && c.kind === 'rise')
  const own = first < 0 ? [] : fitted.slice(first, next < 0 ? fitted.length : next)
  const of = (kind: FittedCurve['kind']) => {
    const found = own.find((c) => c.kind === kind)
    return found ? drawn(found) : null
  }
  return { rise: of('rise'), decay: of('decay') }
}

const drawn = ({ timesUs, mean, low, high, seen }: FittedCurve): BatchCurve => {
  const last = timesUs.length - 1
  const points = [...timesUs.keys()].filter(
    (i) => (i % EVERY === 0 || i === last) && Number.isFinite(low[i]) && Number.isFinite(high[i]),
  )
  const start = timesUs[0] ?? 0
  const pick = (values: readonly number[]) => points.map((i) => plain(values[i] ?? Number.NaN))
  return {
    minutes: points.map((i) => plain(((timesUs[i] ?? start) - start) / 60e6)),
    mean: pick(mean),
    low: pick(low),
    high: pick(high),
    seen: seen.minutes.map((minute, i) => [
      plain(minute),
      plain(seen.values[i] ?? Number.NaN),
      plain(seen.residuals[i] ?? Number.NaN),
    ]),
  }
}

/** A drawing needs no more: ten thousandths of mg/L and of a minute. */
const plain = (value: number): number => Math.round(value * 1e4) / 1e4
