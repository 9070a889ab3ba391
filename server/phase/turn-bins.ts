import { robustSd } from '../fit/outliers.ts'

/** Means of readings over stretches of equal time. Minutes, mg/L. */
export interface TurnBins {
  readonly times: Float64Array
  readonly counts: Float64Array
  readonly values: Float64Array
}

/** A reading further from its neighbours' median than so many standard deviations is drawn in to there. */
const FAR = 4

/**
 * Means over at most `most` equal stretches, with readings far from the median of their stretch drawn in: a mean uses all
 * readings where a median throws a third of what they tell away, and foam must not move it. Times in s, from `originS`.
 */
export const turnBins = (
  timesS: Float64Array,
  values: Float64Array,
  originS: number,
  most: number,
): TurnBins => {
  const n = timesS.length
  const first = timesS[0] ?? 0
  const per = most / (((timesS[n - 1] ?? 0) - first) * (1 + 1e-9))
  const starts: number[] = []
  let before = -1
  for (let i = 0; i < n; i++) {
    const bin = n <= most ? i : Math.floor(((timesS[i] as number) - first) * per)
    if (bin !== before) starts.push(i)
    before = bin
  }
  starts.push(n)
  const bins = starts.length - 1
  const middles = Float64Array.from({ length: bins }, (_, b) =>
    medianOf(values.subarray(starts[b], starts[b + 1])),
  )
  const off = new Float64Array(n)
  for (let b = 0; b < bins; b++)
    for (let i = starts[b] as number; i < (starts[b + 1] as number); i++)
      off[i] = (values[i] as number) - (middles[b] as number)
  const far = n > most ? FAR * robustSd(off) : Number.POSITIVE_INFINITY
  const out = {
    times: new Float64Array(bins),
    counts: new Float64Array(bins),
    values: new Float64Array(bins),
  }
  for (let b = 0; b < bins; b++) {
    const [from, to] = [starts[b] as number, starts[b + 1] as number]
    let [time, sum] = [0, 0]
    for (let i = from; i < to; i++) {
      time += timesS[i] as number
      sum += Math.max(-far, Math.min(far, off[i] as number))
    }
    out.counts[b] = to - from
    out.times[b] = (time / (to - from) - originS) / 60
    out.values[b] = (middles[b] as number) + sum / (to - from)
  }
  return out
}

const medianOf = (values: Float64Array): number => {
  const sorted = values.slice().sort()
  const n = sorted.length
  return ((sorted[(n - 1) >> 1] as number) + (sorted[n >> 1] as number)) / 2
}
