import { type BlockMedians, blockMedians } from '../fit/block-medians.ts'
import { at } from '../fit/linear-algebra.ts'
import { exponentialShape } from '../fit/rate-shape.ts'
import { fitSeparable } from '../fit/separable-fit.ts'
import { riseModel } from '../fit/separable-model.ts'
import { lowerBound } from './lower-bound.ts'

const ROUNDS = 4
const NEWTON_STEPS = 8
/** Readings this near the turn belong to neither side until it is known better, s. */
const UNSURE_S = 10
/** The fall is read over its first quarter, where any order of decay is nearly a straight line in the logarithm. */
const QUARTER_LEFT = 0.75
const BLOCKS = 800
const LONGEST_MOVE_S = 600

/**
 * When a rise turns into a fall: where the fitted rise meets the fitted fall. All readings of both sides speak, so a
 * slow fall in noise is placed several times better than by two lines about the turn. Seconds; undefined when either
 * side cannot be fitted, and then the rough place stands.
 */
export const riseMeetsFall = (
  times: Float64Array,
  values: Float64Array,
  onsetS: number,
  roughS: number,
  endS: number,
): number | undefined => {
  const first = lowerBound(times, onsetS)
  const end = Math.max(first, lowerBound(times, endS))
  const thin = blockMedians(times.subarray(first, end), values.subarray(first, end), BLOCKS)
  let atS = roughS
  for (let round = 0; round < ROUNDS; round++) {
    const level = riseLevel(thin, onsetS, atS - UNSURE_S)
    const fall = fallLine(thin, atS + UNSURE_S, endS)
    if (level === undefined || fall === undefined) return undefined
    const met = meeting(level, fall, atS)
    if (!(met > onsetS && met < endS && Math.abs(met - roughS) < LONGEST_MOVE_S)) return undefined
    if (Math.abs(met - atS) < 0.2) return met
    atS = met
  }
  return atS
}

interface Level {
  readonly plateau: number
  readonly toGo: number
  readonly ratePerS: number
  readonly fromS: number
}

const riseLevel = (thin: BlockMedians, fromS: number, toS: number): Level | undefined => {
  const whole = between(thin, fromS, toS)
  // the lower half is the probe's own transient, or the quiet before a rise whose beginning was not found
  const half = (whole.values[whole.values.length - 1] ?? 0) / 2
  const from = whole.values.findLastIndex((v) => v < half) + 1
  const part = { times: whole.times.subarray(from), values: whole.values.subarray(from) }
  if (part.times.length < 6) return undefined
  const since = part.times.map((t) => t - fromS)
  const fit = fitSeparable(riseModel(since, exponentialShape(undefined)), part.values, {
    start: 4 / (toS - fromS),
    lowest: 1e-2 / (toS - fromS),
    highest: 1e3 / (toS - fromS),
    tolerance: 1e-6,
  })
  if (fit.kind === 'refused') return undefined
  return { plateau: at(fit.linear, 0), toGo: -at(fit.linear, 1), ratePerS: fit.rate, fromS }
}

/** ln C = level + slope·(t − from), by least squares over the first quarter of the fall. */
interface Line {
  readonly level: number
  readonly slope: number
  readonly fromS: number
}

const fallLine = (thin: BlockMedians, fromS: number, endS: number): Line | undefined => {
  const part = between(thin, fromS, endS)
  const first = part.values[0] ?? 0
  const below = part.values.findIndex((v) => v < QUARTER_LEFT * first)
  const n = below < 0 ? part.values.length : below
  if (n < 6 || part.values.subarray(0, n).some((v) => v <= 0)) return undefined
  let [t1, y1, tt, ty] = [0, 0, 0, 0]
  for (let i = 0; i < n; i++) {
    const t = at(part.times, i) - fromS
    const y = Math.log(at(part.values, i))
    t1 += t
    y1 += y
    tt += t * t
    ty += t * y
  }
  const slope = (n * ty - t1 * y1) / (n * tt - t1 * t1)
  return slope < 0 ? { level: (y1 - slope * t1) / n, slope, fromS } : undefined
}

/** Newton's method on ln(rise) − ln(fall), which only grows. */
const meeting = (rise: Level, fall: Line, startS: number): number => {
  let t = startS
  for (let step = 0; step < NEWTON_STEPS; step++) {
    const left = rise.toGo * Math.exp(-rise.ratePerS * (t - rise.fromS))
    const value = rise.plateau - left
    const gap = Math.log(value) - fall.level - fall.slope * (t - fall.fromS)
    t -= gap / ((rise.ratePerS * left) / value - fall.slope)
  }
  return t
}

const between = ({ times, values }: BlockMedians, fromS: number, toS: number): BlockMedians => {
  const first = lowerBound(times, fromS)
  const end = Math.max(first, lowerBound(times, toS))
  return { times: times.subarray(first, end), values: values.subarray(first, end) }
}
