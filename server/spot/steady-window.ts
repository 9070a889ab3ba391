import { type CorrelatedFit, correlatedFit, type KnownNoise } from '../fit/correlated-fit.ts'
import { at } from '../fit/linear-algebra.ts'
import { outlierLimit } from '../fit/outliers.ts'
import { tQuantiles } from '../fit/student-t.ts'

/** A straight line through the readings of one window, with the uncertainty that their own scatter leaves. */
export interface SteadyWindow {
  /** mg/L at the middle of the window. */
  readonly value: number
  /** Standard uncertainty of that value from the scatter, its autocorrelation counted, widened for few readings; mg/L. */
  readonly uScatter: number
  /** mg/L per s, and its standard uncertainty. */
  readonly slope: number
  readonly uSlope: number
  /** Standard deviation of one reading, mg/L. */
  readonly sd: number
  /** Readings used, and the independent readings they are worth for the mean. */
  readonly readings: number
  readonly effective: number
  /** Middle of the readings used, s. */
  readonly midS: number
}

/** Fewer tell neither a slope nor a scatter. */
export const LEAST_READINGS = 8
const LEAST_DEGREES = 3
const NORMAL_TWO_SIDED = 1.959964

/**
 * y = value + slope·(t − mid) by generalised least squares under correlated noise (`correlated-fit.ts`), spikes set
 * aside. Readings that are all the same scatter less than their last digit shows: then nothing but that digit is left.
 * Undefined for fewer than eight readings, or where the scatter cannot be told.
 */
export const steadyWindow = (
  timesS: Float64Array,
  values: Float64Array,
  resolution: number,
  history?: KnownNoise,
): SteadyWindow | undefined => {
  const kept = withoutSpikes(timesS, values, resolution)
  const n = kept.times.length
  if (n < LEAST_READINGS) return undefined
  const line = lineThrough(kept.times, kept.values)
  const plain = { sd: 0, uScatter: 0, uSlope: 0, effective: 1, readings: n, ...line }
  const rss = line.residuals.reduce((sum, r) => sum + r * r, 0)
  // one digit that flips now and then says less of the scatter than the digit itself
  if (Math.sqrt(rss / n) < resolution / 4) return plain
  const minutes = kept.times.map((t) => t / 60)
  const fit = correlatedFit(
    {
      times: minutes,
      counts: new Float64Array(n).fill(1),
      residuals: line.residuals,
      jacobian: [new Float64Array(n).fill(1), kept.times.map((t) => t - line.midS)],
      readings: n,
      rss,
    },
    history,
  )
  if (fit === undefined) return undefined
  return {
    ...plain,
    value: line.value + at(fit.step, 0),
    slope: line.slope + at(fit.step, 1),
    uScatter: scatterOf(fit),
    uSlope: Math.sqrt(at(fit.covariance, 3)),
    sd: fit.readingSd,
    effective: fit.effectiveReadings,
  }
}

/**
 * Half a minute cannot tell slow noise from none. Without the instrument's history it is worth one independent reading at
 * most, and Student's t widens what it says of its own noise; below three degrees of freedom t tells luck, not scatter.
 */
const scatterOf = (fit: CorrelatedFit): number => {
  const se = Math.sqrt(at(fit.covariance, 0))
  if (fit.fromHistory) return se
  const { twoSided } = tQuantiles(Math.max(LEAST_DEGREES, fit.degreesOfFreedom))
  return Math.max(fit.readingSd, (se * twoSided) / NORMAL_TWO_SIDED)
}

const lineThrough = (times: Float64Array, values: Float64Array) => {
  const n = times.length
  const mean = (numbers: Float64Array) => numbers.reduce((sum, v) => sum + v, 0) / n
  const midS = mean(times)
  const value = mean(values)
  const spread = times.reduce((sum, t) => sum + (t - midS) ** 2, 0)
  const slope = times.reduce((sum, t, i) => sum + (t - midS) * (at(values, i) - value), 0) / spread
  const residuals = values.map((v, i) => v - value - slope * (at(times, i) - midS))
  return { midS, value, slope, residuals }
}

/** One look is enough: a window with many spikes is no window to read. */
const withoutSpikes = (timesS: Float64Array, values: Float64Array, resolution: number) => {
  if (timesS.length < LEAST_READINGS) return { times: timesS, values }
  const { residuals } = lineThrough(timesS, values)
  const limit = outlierLimit(residuals, resolution)
  const ordinary = (_: number, i: number) => Math.abs(at(residuals, i)) <= limit || limit === 0
  return { times: timesS.filter(ordinary), values: values.filter(ordinary) }
}
