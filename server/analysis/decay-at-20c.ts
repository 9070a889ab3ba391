import { blockMedians } from '../fit/block-medians.ts'
import { type DecayData, type DecayFit, fitDecay } from '../fit/decay-fit.ts'
import { type Interval, logInterval } from '../fit/interval.ts'
import { at } from '../fit/linear-algebra.ts'
import { orderShape } from '../fit/rate-shape.ts'
import { fitSeparable } from '../fit/separable-fit.ts'
import { decayModel } from '../fit/separable-model.ts'
import { ACTIVATION_ENERGY } from '../model/arrhenius.ts'
import { type TemperatureCourse, warpedMinutes } from '../model/warped-time.ts'

/** First-order decay over the measured temperature course, as a rate at 20 °C. */
export interface WarmedDecay {
  readonly fit: DecayFit
  /** Activation energy used, kJ/mol: the middle of the published range, moved by this record if it says anything. */
  readonly energyKj: number
  /** Standard error of ln(rate at 20 °C), activation energy included. */
  readonly logRateSe: number
  readonly halfLife: Interval
}

const ENERGIES = 8

/**
 * Half-life normalised to 20 °C. The activation energy is not known: eight values over the published range are each
 * fitted and weighted by how well they explain the record, so that a batch that warmed far teaches its own and a batch
 * that kept its temperature carries the whole range as uncertainty.
 */
export const decayAt20c = (
  data: DecayData,
  startS: number,
  course: TemperatureCourse,
  worth: number,
): WarmedDecay | undefined => {
  const thin = blockMedians(data.times, data.values, 96)
  const tried = Array.from({ length: ENERGIES }, (_, i) => {
    const energy =
      ACTIVATION_ENERGY.low + ((i + 0.5) / ENERGIES) * (ACTIVATION_ENERGY.high - ACTIVATION_ENERGY.low)
    return { energy, ...thinFit(thin, startS, course, energy) }
  }).filter((t) => t.rss > 0)
  if (tried.length === 0) return undefined
  const best = Math.min(...tried.map((t) => t.rss))
  const effective = Math.max(2, Math.min(worth, thin.times.length))
  const weights = tried.map((t) => (t.rss / best) ** (-effective / 2))
  const total = weights.reduce((s, w) => s + w, 0)
  const mean = (of: (t: (typeof tried)[number]) => number) =>
    tried.reduce((s, t, i) => s + of(t) * at(weights, i), 0) / total
  const energyKj = mean((t) => t.energy)
  const logRate = mean((t) => t.logRate)
  const spread = mean((t) => (t.logRate - logRate) ** 2)
  const times = warpedMinutes(data.times, startS, course, energyKj)
  const fit = fitDecay({ ...data, times })
  if (fit.kind === 'refused') return undefined
  const logRateSe = Math.sqrt(at(fit.covariance, fit.covariance.length - 1) + spread)
  return { fit, energyKj, logRateSe, halfLife: logInterval(Math.LN2 / fit.rate, logRateSe, fit.t) }
}

const thinFit = (
  thin: { times: Float64Array; values: Float64Array },
  startS: number,
  course: TemperatureCourse,
  energy: number,
): { rss: number; logRate: number } => {
  const times = warpedMinutes(thin.times, startS, course, energy)
  const span = at(times, times.length - 1) || 1
  const fit = fitSeparable(decayModel(times, orderShape(1, undefined), undefined, 1), thin.values, {
    start: 0.5 / span,
    lowest: 1e-4 / span,
    highest: 1e3 / span,
    tolerance: 1e-6,
  })
  return fit.kind === 'refused'
    ? { rss: Number.NaN, logRate: Number.NaN }
    : { rss: fit.rss, logRate: Math.log(fit.rate) }
}
