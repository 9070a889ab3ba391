import { at, choleskyInPlace, choleskySolveInPlace } from '../fit/linear-algebra.ts'

/** Two straight lines that meet at `atS`: slopes before and after, per second. */
export interface Hinge {
  readonly atS: number
  readonly before: number
  readonly after: number
  /** Sum of squares left, over that of one straight line: near 1 means there is no hinge. */
  readonly leftOver: number
}

const CANDIDATES = 60

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
    const row = [1, t, y, t * t, t * y, y * y]
    for (let k = 0; k < 6; k++) sums[6 * (i + 1) + k] = (sums[6 * i + k] as number) + (row[k] as number)
  }
  return sums
}

/** y = a + b·min(t − c, 0) + d·max(t − c, 0) by least squares; the first `split` points lie before c. */
const linesAbout = (sums: Float64Array, split: number, c: number): Lines | undefined => {
  const last = sums.length / 6 - 1
  const first = (k: number) => sums[6 * split + k] as number
  const rest = (k: number) => (sums[6 * last + k] as number) - first(k)
  const side = (of: (k: number) => number) => ({
    t: of(1) - c * of(0),
    tt: of(3) - 2 * c * of(1) + c * c * of(0),
    ty: of(4) - c * of(2),
  })
  const before = side(first)
  const after = side(rest)
  const y = first(2) + rest(2)
  const gram = Float64Array.of(last, 0, 0, before.t, before.tt, 0, after.t, 0, after.tt)
  const solution = Float64Array.of(y, before.ty, after.ty)
  if (!choleskyInPlace(gram, 3)) return undefined
  choleskySolveInPlace(gram, 3, solution)
  const explained = y * at(solution, 0) + before.ty * at(solution, 1) + after.ty * at(solution, 2)
  return {
    before: at(solution, 1),
    after: at(solution, 2),
    rss: Math.max(0, first(5) + rest(5) - explained),
  }
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
