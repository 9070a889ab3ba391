import { type BlockMedians, blockMedians } from '../fit/block-medians.ts'
import { at } from '../fit/linear-algebra.ts'
import { robustSd } from '../fit/outliers.ts'
import { worthOf } from '../fit/residual-worth.ts'
import type { SaturationFit } from '../fit/saturation-fit.ts'
import { fitSeparable } from '../fit/separable-fit.ts'
import type { SeparableModel } from '../fit/separable-model.ts'
import { lowerBound } from '../phase/lower-bound.ts'
import type { PhaseReadings } from './phase-readings.ts'

/** A short stop of the gas that the signal shows and nobody entered. Minutes since the start of the rise. */
export interface Interruption {
  readonly fromMin: number
  readonly lastsMin: number
  /** mg/L the fluid was short of by the end of it. */
  readonly lost: number
}

const BLOCKS = 180
/** A stop shorter than this is not told from noise, a longer one is a batch standing, min. */
const LASTS_MIN = [0.25, 0.5, 0.9]
const STEP_MIN = 0.35
const MOST_STEPS = 60
/** The start of a rise is bent by the probe and by gas on its way, min. */
const AFTER_START_MIN = 0.75
const BEFORE_END_MIN = 0.5
/** Residuals this much larger than their own steps, as variances, may hide a stop; slow noise makes 3 to 12. */
const MISFIT = 8
/**
 * Gain in −2·ln likelihood that counts, after a search over place and length, by the part of the plateau that was lost.
 * Rises without a stop gain up to 16 with a large part, up to 42 with a small one in noise of a minute.
 */
const COUNTS = [
  { lost: 0.08, gain: 20 },
  { lost: 0.03, gain: 50 },
] as const
const FINE = [-0.17, -0.08, 0, 0.08, 0.17]

/**
 * Whether a rise was interrupted: the same rise, short from some moment on of what it then makes up again at its own
 * rate, C = Css + (C0 − Css)·e^(−k t) − d·h, with h a ramp of the length of the stop and e^(−k(t − end)) after it. Fits
 * are tried only where one curve leaves more than noise.
 */
export const interruptionIn = (
  readings: PhaseReadings,
  fit: SaturationFit,
  fromMin: number,
): Interruption | undefined => {
  const first = lowerBound(readings.times, fromMin)
  const thin = blockMedians(readings.times.subarray(first), readings.values.subarray(first), BLOCKS)
  if (thin.times.length < 40) return undefined
  const plain = tryStop(thin, fit.rate, undefined)
  if (plain === undefined || !isMisfit(plain.residuals)) return undefined
  const best = bestStop(thin, fit.rate)
  if (best === undefined) return undefined
  const gained = worthOf(best.residuals) * Math.log(plain.rss / best.rss)
  if (!COUNTS.some(({ lost, gain }) => best.lost >= lost * fit.plateau && gained >= gain)) return undefined
  return { fromMin: best.stop.fromMin, lastsMin: best.stop.lastsMin, lost: best.lost }
}

const isMisfit = (residuals: Float64Array): boolean => {
  const steps = residuals.slice(1).map((r, i) => r - at(residuals, i))
  const own = robustSd(steps) / Math.SQRT2
  const all = residuals.reduce((sum, r) => sum + r * r, 0) / residuals.length
  return all > MISFIT * own * own
}

interface Stop {
  readonly fromMin: number
  readonly lastsMin: number
}

interface Tried {
  readonly stop: Stop
  readonly lost: number
  readonly rss: number
  readonly residuals: Float64Array
}

const bestStop = (thin: BlockMedians, rate: number): Tried | undefined => {
  const from = at(thin.times, 0) + AFTER_START_MIN
  const to = at(thin.times, thin.times.length - 1) - BEFORE_END_MIN
  let best: Tried | undefined
  const consider = (stop: Stop) => {
    if (stop.fromMin < from || stop.fromMin + stop.lastsMin > to) return
    const tried = tryStop(thin, rate, stop)
    if (tried !== undefined && tried.lost > 0 && (best === undefined || tried.rss < best.rss)) best = tried
  }
  const step = Math.max(STEP_MIN, (to - from) / MOST_STEPS)
  for (let fromMinute = from; fromMinute < to; fromMinute += step)
    consider({ fromMin: fromMinute, lastsMin: 0.5 })
  const rough: Tried | undefined = best
  if (rough === undefined) return undefined
  for (const lastsMin of LASTS_MIN)
    for (const fine of FINE) {
      const middle = rough.stop.fromMin + rough.stop.lastsMin / 2 + fine
      consider({ fromMin: middle - lastsMin / 2, lastsMin })
    }
  return best
}

const tryStop = (thin: BlockMedians, rate: number, stop: Stop | undefined): Tried | undefined => {
  const fit = fitSeparable(stoppedModel(thin.times, stop), thin.values, {
    start: rate,
    lowest: rate / 20,
    highest: rate * 20,
    tolerance: 1e-4,
  })
  if (fit.kind === 'refused') return undefined
  const lost = stop === undefined ? 0 : -at(fit.linear, 2)
  return { stop: stop ?? { fromMin: 0, lastsMin: 0 }, lost, rss: fit.rss, residuals: fit.residuals }
}

const stoppedModel = (times: Float64Array, stop: Stop | undefined): SeparableModel => {
  const [ones, left, short] = [new Float64Array(times.length).fill(1), times.slice(), times.slice()]
  const [leftSlope, shortSlope] = [times.slice(), times.slice()]
  const endMin = stop === undefined ? 0 : stop.fromMin + stop.lastsMin
  const setRate = (rate: number) => {
    times.forEach((t, i) => {
      left[i] = Math.exp(-rate * t)
      leftSlope[i] = -rate * t * at(left, i)
      if (stop === undefined) return
      const since = t - endMin
      short[i] =
        since > 0 ? Math.exp(-rate * since) : Math.max(0, Math.min(1, (t - stop.fromMin) / stop.lastsMin))
      shortSlope[i] = since > 0 ? -rate * since * at(short, i) : 0
    })
  }
  return stop === undefined
    ? { columns: [ones, left], slopes: [undefined, leftSlope], setRate }
    : { columns: [ones, left, short], slopes: [undefined, leftSlope, shortSlope], setRate }
}
