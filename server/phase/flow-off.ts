import { type BlockMedians, blockMedians } from '../fit/block-medians.ts'
import { at } from '../fit/linear-algebra.ts'
import { exponentialShape } from '../fit/rate-shape.ts'
import { fitSeparable } from '../fit/separable-fit.ts'
import { riseModel } from '../fit/separable-model.ts'
import { lowerBound } from './lower-bound.ts'
import { turnBins } from './turn-bins.ts'
import { fitTurn } from './turn-fit.ts'

const ROUNDS = 4
const NEWTON_STEPS = 8
/** Readings this near the turn belong to neither side until it is known better, s. */
const UNSURE_S = 10
/** The fall is read over its first quarter, where any order of decay is nearly a straight line in the logarithm. */
const QUARTER_LEFT = 0.75
const BLOCKS = 800
const LONGEST_MOVE_S = 600

/** The fall as far as a quarter is left, whatever its order, and no further than this. */
const FALL_LEFT = 0.25
const LONGEST_FALL_S = 5400
const BINS = 256

/** When a turn was, and half of its 95 % interval where one could be told, s. */
export interface TurnTime {
  readonly atS: number
  readonly withinS?: number
}

/**
 * When a rise turns into a fall: first where the fitted rise meets the fitted fall, then one curve over both sides. All
 * readings speak, so a slow fall in noise is placed several times better than by two lines about the turn. Undefined when
 * either side cannot be fitted, and then the rough place stands.
 */
export const riseMeetsFall = (
  times: Float64Array,
  values: Float64Array,
  onsetS: number,
  roughS: number,
  endS: number,
): TurnTime | undefined => {
  const first = lowerBound(times, onsetS)
  const end = Math.max(first, lowerBound(times, endS))
  const thin = blockMedians(times.subarray(first, end), values.subarray(first, end), BLOCKS)
  let atS = roughS
  let sides: { level: Level; fall: Line } | undefined
  for (let round = 0; round < ROUNDS; round++) {
    const level = riseLevel(thin, onsetS, atS - UNSURE_S)
    const fall = fallLine(thin, atS + UNSURE_S, endS)
    if (level === undefined || fall === undefined) return undefined
    sides = { level, fall }
    const met = meeting(level, fall, atS)
    if (!(met > onsetS && met < endS && Math.abs(met - roughS) < LONGEST_MOVE_S)) return undefined
    const moved = Math.abs(met - atS)
    atS = met
    if (moved < 0.2) break
  }
  const one = sides && oneCurve(times, values, thin, sides, { onsetS, atS, endS })
  return one !== undefined && Math.abs(one.atS - roughS) < LONGEST_MOVE_S ? one : { atS }
}

const oneCurve = (
  times: Float64Array,
  values: Float64Array,
  thin: BlockMedians,
  { level, fall }: { level: Level; fall: Line },
  { onsetS, atS, endS }: { onsetS: number; atS: number; endS: number },
): TurnTime | undefined => {
  const half = level.plateau / 2
  const firstHalf = thin.times[thin.values.findIndex((v) => v > half)] ?? onsetS
  const after = between(thin, atS, Math.min(endS, atS + LONGEST_FALL_S))
  const below = after.values.findIndex((v) => v < FALL_LEFT * level.plateau)
  const lastS = below < 0 ? (after.times.at(-1) ?? atS) : (after.times[below] ?? atS)
  const from = lowerBound(times, firstHalf)
  const to = Math.max(from, lowerBound(times, lastS + 1e-9))
  if (to - from < 24) return undefined
  const bins = turnBins(times.subarray(from, to), values.subarray(from, to), onsetS, BINS)
  const fitted = fitTurn(bins, {
    plateau: level.plateau,
    toGo: level.toGo * Math.exp(-level.ratePerS * (onsetS - level.fromS)),
    riseRate: 60 * level.ratePerS,
    turn: (atS - onsetS) / 60,
    fallRate: -60 * fall.slope,
  })
  return fitted === undefined
    ? undefined
    : { atS: onsetS + 60 * fitted.turn, withinS: Math.max(1, 60 * fitted.within) }
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
