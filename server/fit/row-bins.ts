import { at } from './linear-algebra.ts'

/**
 * Means of readings over short stretches of time. Column 0 is the mean residual, the others the means of the Jacobian
 * columns, so that a linear least-squares step on bins is the step on readings with the bins' own noise.
 */
export interface RowBins {
  readonly times: Float64Array
  readonly counts: Float64Array
  readonly columns: readonly Float64Array[]
}

/** Residuals and Jacobian of a fit, each row the mean over `counts` readings about one time. */
export interface FitRows {
  readonly times: Float64Array
  readonly counts: Float64Array
  readonly residuals: Float64Array
  readonly jacobian: readonly Float64Array[]
  /** Readings in all, and their own sum of squares about the curve. */
  readonly readings: number
  readonly rss: number
}

/** Averages over at most `most` bins of equal time; a stretch without readings makes no bin. */
export const binRows = (rows: FitRows, most: number): RowBins => {
  const starts = binStarts(rows.times, most)
  const counts = new Float64Array(starts.length - 1)
  for (let b = 0; b < counts.length; b++)
    for (let i = at(starts, b); i < at(starts, b + 1); i++) counts[b] = at(counts, b) + at(rows.counts, i)
  const averaged = (values: Float64Array) => meansOf(values, rows.counts, counts, starts)
  return { times: averaged(rows.times), counts, columns: [rows.residuals, ...rows.jacobian].map(averaged) }
}

/** Index of the first row of each bin, and n at the end. */
const binStarts = (times: Float64Array, most: number): number[] => {
  const n = times.length
  const first = at(times, 0)
  const perBin = most / ((at(times, n - 1) - first) * (1 + 1e-9))
  const starts: number[] = []
  let last = -1
  for (let i = 0; i < n; i++) {
    const bin = n <= most ? i : Math.floor(((times[i] as number) - first) * perBin)
    if (bin !== last) starts.push(i)
    last = bin
  }
  starts.push(n)
  return starts
}

const meansOf = (
  values: Float64Array,
  weights: Float64Array,
  totals: Float64Array,
  starts: readonly number[],
): Float64Array => {
  const means = new Float64Array(totals.length)
  for (let b = 0; b < means.length; b++) {
    const to = starts[b + 1] as number
    let sum = 0
    for (let i = starts[b] as number; i < to; i++) sum += (weights[i] as number) * (values[i] as number)
    means[b] = sum / (totals[b] as number)
  }
  return means
}
