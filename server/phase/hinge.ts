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
  let best: (Lines & { atS: number }) | undefined
  for (let c = 0; c <= CANDIDATES; c++) {
    const atS = fromS + (c / CANDIDATES) * (toS - fromS)
    const lines = linesAbout(times, values, atS)
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

/** y = a + b·min(t − c, 0) + d·max(t − c, 0) by least squares. */
const linesAbout = (times: Float64Array, values: Float64Array, c: number): Lines | undefined => {
  const gram = new Float64Array(9)
  const rhs = new Float64Array(3)
  let total = 0
  for (let i = 0; i < times.length; i++) {
    const t = (times[i] as number) - c
    const y = values[i] as number
    const u = Math.min(t, 0)
    const v = Math.max(t, 0)
    gram[0] = at(gram, 0) + 1
    gram[3] = at(gram, 3) + u
    gram[6] = at(gram, 6) + v
    gram[4] = at(gram, 4) + u * u
    gram[8] = at(gram, 8) + v * v
    rhs[0] = at(rhs, 0) + y
    rhs[1] = at(rhs, 1) + u * y
    rhs[2] = at(rhs, 2) + v * y
    total += y * y
  }
  const raw = rhs.slice()
  if (!choleskyInPlace(gram, 3)) return undefined
  choleskySolveInPlace(gram, 3, rhs)
  const explained = at(raw, 0) * at(rhs, 0) + at(raw, 1) * at(rhs, 1) + at(raw, 2) * at(rhs, 2)
  return { before: at(rhs, 1), after: at(rhs, 2), rss: Math.max(0, total - explained) }
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
