import { at } from '../fit/linear-algebra.ts'

/** Two straight lines that meet at `atS`: slopes before and after, per second. */
export interface Hinge {
  readonly atS: number
  readonly before: number
  readonly after: number
  /** Sum of squares left, over that of one straight line: near 1 means there is no hinge. */
  readonly leftOver: number
}

const CANDIDATES = 50

/** Best meeting point of two lines through the points, inside [fromS, toS]. Undefined for fewer than six points. */
export const findHinge = (
  times: Float64Array,
  values: Float64Array,
  fromS: number,
  toS: number,
): Hinge | undefined => {
  if (times.length < 6 || !(toS > fromS)) return undefined
  const sums = prefixSums(times, values, fromS)
  let best: (Lines & { atS: number }) | undefined
  let split = 0
  for (let c = 0; c <= CANDIDATES; c++) {
    const atS = fromS + (c / CANDIDATES) * (toS - fromS)
    while (split < times.length && (times[split] as number) < atS) split++
    const lines = linesAbout(sums, split, atS - fromS)
    if (lines !== undefined && (best === undefined || lines.rss < best.rss)) best = { ...lines, atS }
  }
  if (best === undefined) return undefined
  const straight = straightRss(times, values)
  return { atS: best.atS, before: best.before, after: best.after, leftOver: best.rss / (straight || 1) }
}

interface Lines {
  readonly before: number
  readonly after: number
  readonly rss: number
}

/** Running sums of 1, t, y, t², ty, y² over the points, six numbers a point; times count from `origin`. */
const prefixSums = (times: Float64Array, values: Float64Array, origin: number): Float64Array => {
  const n = times.length
  const sums = new Float64Array(6 * (n + 1))
  for (let i = 0; i < n; i++) {
    const t = (times[i] as number) - origin
    const y = values[i] as number
    const from = 6 * i
    sums[from + 6] = (sums[from] as number) + 1
    sums[from + 7] = (sums[from + 1] as number) + t
    sums[from + 8] = (sums[from + 2] as number) + y
    sums[from + 9] = (sums[from + 3] as number) + t * t
    sums[from + 10] = (sums[from + 4] as number) + t * y
    sums[from + 11] = (sums[from + 5] as number) + y * y
  }
  return sums
}

/**
 * y = a + b·min(t − c, 0) + d·max(t − c, 0) by least squares; the first `split` points lie before c. The two sides share
 * only the level a, so the normal equations are solved by elimination.
 */
const linesAbout = (sums: Float64Array, split: number, c: number): Lines | undefined => {
  const end = sums.length - 6
  const s = 6 * split
  const n1 = sums[s] as number
  const t1 = (sums[s + 1] as number) - c * n1
  const y1 = sums[s + 2] as number
  const tt1 = (sums[s + 3] as number) - 2 * c * (sums[s + 1] as number) + c * c * n1
  const ty1 = (sums[s + 4] as number) - c * y1
  const n = sums[end] as number
  const n2 = n - n1
  const sum2 = (sums[end + 1] as number) - (sums[s + 1] as number)
  const t2 = sum2 - c * n2
  const y = sums[end + 2] as number
  const y2 = y - y1
  const tt2 = (sums[end + 3] as number) - (sums[s + 3] as number) - 2 * c * sum2 + c * c * n2
  const ty2 = (sums[end + 4] as number) - (sums[s + 4] as number) - c * y2
  const level = n - (t1 * t1) / tt1 - (t2 * t2) / tt2
  if (!(tt1 > 0 && tt2 > 0 && level > 1e-12 * n)) return undefined
  const a = (y - (t1 * ty1) / tt1 - (t2 * ty2) / tt2) / level
  const before = (ty1 - a * t1) / tt1
  const after = (ty2 - a * t2) / tt2
  const rss = (sums[end + 5] as number) - a * y - before * ty1 - after * ty2
  return { before, after, rss: Math.max(0, rss) }
}

const straightRss = (times: Float64Array, values: Float64Array): number => {
  const n = times.length
  const meanT = times.reduce((s, t) => s + t, 0) / n
  const meanY = values.reduce((s, y) => s + y, 0) / n
  let tt = 0
  let ty = 0
  let yy = 0
  for (let i = 0; i < n; i++) {
    const t = at(times, i) - meanT
    const y = at(values, i) - meanY
    tt += t * t
    ty += t * y
    yy += y * y
  }
  return yy - (tt === 0 ? 0 : (ty * ty) / tt)
}
