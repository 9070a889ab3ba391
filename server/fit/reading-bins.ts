import { at } from './linear-algebra.ts'

/** A record of more readings than this is fitted by sums over bins: 256 to 512 of them, however long it is. */
const MOST_BINS = 512
/** Bins are as wide as this times a power of two: a second, when times are minutes. */
const UNIT = 1 / 60

/** Width of the bins of a record, the same over long stretches of its growth; 0 where each reading has its own. */
export const binWidth = (times: Float64Array): number => {
  const n = times.length
  if (n <= MOST_BINS) return 0
  const narrowest = (at(times, n - 1) - at(times, 0)) / MOST_BINS
  return UNIT * 2 ** Math.ceil(Math.log2(narrowest / UNIT))
}

/** Index of the first reading of each bin, from reading `from` on, which begins one. No bin reaches over a break. */
export const binStarts = (
  times: Float64Array,
  from: number,
  width: number,
  breaks: readonly number[],
): number[] => {
  const starts: number[] = []
  let last = Number.NaN
  let end = Number.NEGATIVE_INFINITY
  for (let i = from; i < times.length; i++) {
    const t = times[i] as number
    // a time on the edge of two bins belongs to the later one, whatever its last digit
    const bin = width === 0 ? i : Math.floor(t / width + 1e-9)
    if (bin === last && t < end) continue
    starts.push(i)
    last = bin
    end = breaks.find((b) => b > t) ?? Number.POSITIVE_INFINITY
  }
  return starts
}

/** What a fit needs of the readings of one bin, outliers left out; the sums are about the means. */
export interface BinSums {
  readonly count: number
  readonly first: number
  readonly last: number
  readonly time: number
  readonly value: number
  readonly tt: number
  readonly ty: number
  readonly yy: number
}

/** Sums over the readings from one index to another that are not marked. Undefined when all are. */
export const sumsOf = (
  times: Float64Array,
  values: Float64Array,
  marks: Uint8Array,
  from: number,
  to: number,
): BinSums | undefined => {
  let count = 0
  let time = 0
  let value = 0
  let first = Number.NaN
  let last = Number.NaN
  for (let i = from; i < to; i++) {
    if (marks[i] === 1) continue
    if (count === 0) first = at(times, i)
    last = at(times, i)
    time += last
    value += at(values, i)
    count++
  }
  if (count === 0) return undefined
  time /= count
  value /= count
  let tt = 0
  let ty = 0
  let yy = 0
  for (let i = from; i < to; i++) {
    if (marks[i] === 1) continue
    const t = at(times, i) - time
    const y = at(values, i) - value
    tt += t * t
    ty += t * y
    yy += y * y
  }
  return { count, first, last, time, value, tt, ty, yy }
}
