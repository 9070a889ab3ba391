import type { Interval } from '../fit/interval.ts'
import type { HeadlineDecay } from './headline-decay.ts'
import type { AnalysisInput } from './input.ts'
import type { PhaseReadings } from './phase-readings.ts'
import { atLeast, estimate, relativeHalfWidth, USELESS } from './quantities.ts'
import type { AnalysedDecay } from './schema.ts'
import { LONGEST_MIN, plannedHalfWidth, spotHalfLife } from './spot-half-life.ts'

export type ToldHalfLife = Pick<AnalysedDecay, 'status' | 'half_life_min'> & Partial<AnalysedDecay>

/** Slow noise shows how slow and how large it is in about a dozen of its own lengths, of 20 s as meters have them; minutes. */
const SHOWS_SCATTER = 4
/** While a slow probe still comes to the fluid, for so many of its time constants, its transient swallows slow noise. */
const SWALLOWED = 3
/** Readings worth this part of their number are next to independent: that shows at once. */
const NEARLY_INDEPENDENT = 0.15

/**
 * Whether the scatter behind an interval is known: from earlier batches, or from this one once it is old enough. A young
 * record in slow noise now and then looks calm, and would be believed just then.
 */
export const isScatterKnown = (
  input: AnalysisInput,
  { times }: PhaseReadings,
  { fit: { curve } }: HeadlineDecay,
): boolean =>
  input.noiseHistory !== undefined ||
  curve.effectiveReadings >= NEARLY_INDEPENDENT * curve.n ||
  (times.at(-1) ?? 0) - (times[0] ?? 0) - (SWALLOWED * (input.probeLag?.tauS ?? 0)) / 60 >= SHOWS_SCATTER

export const halfLives = (headline: HeadlineDecay, plannedMin: number, isKnown: boolean): ToldHalfLife => {
  const { halfLife, halfLife20c, rate, fit } = headline
  if (!isKnown || !isTold(headline, plannedMin))
    return { status: 'bounded', half_life_min: atLeast(halfLife.ci95[0], 'interval-too-wide') }
  return {
    status: 'fitted',
    order: fit.order,
    half_life_min: estimate(halfLife),
    ...(fit.order === 1 ? { rate_per_min: estimate(rate) } : {}),
    ...(halfLife20c === undefined ? {} : { half_life_20c_min: estimate(halfLife20c) }),
  }
}

/** So narrow an interval does not come of a fall that happened to look steep. */
const NARROW = 0.2

/**
 * Whether an interval is given is decided by how well a half-life of the planned length would be told, not by the one that
 * was found: judged by that, intervals would be given just when the fall looked steep, and hold less often. A fall that is
 * plain whatever was planned is told as it is.
 */
const isTold = ({ halfLife, rate, fit }: HeadlineDecay, plannedMin: number): boolean => {
  const found = relativeHalfWidth(halfLife)
  if (!Number.isFinite(found)) return false
  if (fit.order !== 1) return found <= USELESS
  const planned = ((rate.ci95[1] - rate.ci95[0]) / 2) * (plannedMin / Math.LN2)
  return found <= NARROW || (planned <= USELESS && rate.ci95[0] > Math.LN2 / LONGEST_MIN)
}

export const spotHalfLives = (
  { halfLife20c, halfLife, rate, fit }: HeadlineDecay,
  times: Float64Array,
  uPercent: number,
  plannedMin: number,
): ToldHalfLife => {
  const told = spotHalfLife(rate.value, rate.se, plannedHalfWidth(times, uPercent, plannedMin) <= USELESS)
  if (told.kind === 'at-least')
    return { status: 'bounded', half_life_min: atLeast(told.halfLifeMin, 'interval-too-wide') }
  return {
    status: 'fitted',
    order: fit.order,
    half_life_min: estimate(told.halfLife),
    rate_per_min: estimate(told.rate),
    ...(halfLife20c === undefined
      ? {}
      : { half_life_20c_min: estimate(carried(told.halfLife, halfLife, halfLife20c)) }),
  }
}

/** The exact interval brought to 20 °C: what the activation energy adds, added in the logarithm. */
const carried = (exact: Interval, plain: Interval, at20c: Interval): Interval => {
  const perLog = (ends: Interval, i: 0 | 1) => Math.log(ends.ci95[i] / ends.value)
  const reach = (i: 0 | 1) =>
    Math.sqrt(perLog(exact, i) ** 2 + Math.max(0, perLog(at20c, i) ** 2 - perLog(plain, i) ** 2))
  return { ...at20c, ci95: [at20c.value * Math.exp(-reach(0)), at20c.value * Math.exp(reach(1))] }
}
