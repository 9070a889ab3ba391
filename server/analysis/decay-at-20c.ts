import { celsius } from '../../ingest/units.ts'
import { blockMedians } from '../fit/block-medians.ts'
import { type DecayData, type DecayFit, fitDecay } from '../fit/decay-fit.ts'
import { at } from '../fit/linear-algebra.ts'
import { orderShape } from '../fit/rate-shape.ts'
import { worthOf } from '../fit/residual-worth.ts'
import { fitSeparable } from '../fit/separable-fit.ts'
import { decayModel } from '../fit/separable-model.ts'
import { ACTIVATION_ENERGY, arrheniusFactor } from '../model/arrhenius.ts'
import type { TemperatureCourse } from '../model/warped-time.ts'
import { type Clock, warpedClock } from './warped-clock.ts'

/** First-order decay over the measured temperature course, as a rate at 20 °C. */
export interface WarmedDecay {
  readonly fit: DecayFit
  /** Minutes since the start of the phase in the clock of the fit. */
  readonly clock: Clock
  /** Activation energy used, kJ/mol: the middle of the published range, moved by this record if it says anything. */
  readonly energyKj: number
  /** ln(rate at t °C) and its standard error, activation energy included. */
  readonly logRateAt: (t: number) => { readonly value: number; readonly se: number }
}

const ENERGIES = 9
/** A little past the published range, so that its ends are not cut off. */
const LOWEST = ACTIVATION_ENERGY.low - 3
const HIGHEST = ACTIVATION_ENERGY.high + 5

/**
 * Decay of a fluid whose temperature changes. The activation energy is not known: nine values over the published range
 * are each fitted and weighted by how well they explain the record, so that a batch that warmed far teaches its own and
 * a batch that hardly did carries the whole range as uncertainty.
 */
export const warmedDecay = (
  data: DecayData,
  startS: number,
  course: TemperatureCourse,
): WarmedDecay | undefined => {
  const thin = blockMedians(data.times, data.values, 96)
  const last = data.times[data.times.length - 1] ?? 0
  const tried = Array.from({ length: ENERGIES }, (_, i) => {
    const energy = LOWEST + (i / (ENERGIES - 1)) * (HIGHEST - LOWEST)
    return { energy, ...thinFit(thin, warpedClock(startS, course, energy, last)) }
  }).filter((t) => t.rss > 0)
  if (tried.length === 0) return undefined
  const best = tried.reduce((a, b) => (b.rss < a.rss ? b : a))
  const weights = tried.map((t) => (t.rss / best.rss) ** (-best.worth / 2))
  const total = weights.reduce((s, w) => s + w, 0)
  const mean = (of: (t: (typeof tried)[number]) => number) =>
    tried.reduce((s, t, i) => s + of(t) * at(weights, i), 0) / total
  const energyKj = mean((t) => t.energy)
  const clock = warpedClock(startS, course, energyKj, last)
  const fit = fitDecay({ ...data, clock })
  if (fit.kind === 'refused') return undefined
  const own = at(fit.covariance, fit.covariance.length - 1)
  const logRateAt = (t: number) => {
    const of = (trial: (typeof tried)[number]) =>
      trial.logRate + Math.log(arrheniusFactor(celsius(t), trial.energy))
    const middle = mean(of)
    const spread = mean((trial) => (of(trial) - middle) ** 2)
    const value = Math.log(fit.rate) + Math.log(arrheniusFactor(celsius(t), energyKj))
    return { value, se: Math.sqrt(own + spread) }
  }
  return { fit, clock, energyKj, logRateAt }
}

const thinFit = (
  thin: { times: Float64Array; values: Float64Array },
  clock: Clock,
): { rss: number; logRate: number; worth: number } => {
  const times = clock(thin.times)
  const span = at(times, times.length - 1) || 1
  const fit = fitSeparable(decayModel(times, orderShape(1, undefined), undefined, 1), thin.values, {
    start: 0.5 / span,
    lowest: 1e-4 / span,
    highest: 1e3 / span,
    tolerance: 1e-6,
  })
  if (fit.kind === 'refused') return { rss: Number.NaN, logRate: Number.NaN, worth: 0 }
  return { rss: fit.rss, logRate: Math.log(fit.rate), worth: worthOf(fit.residuals) }
}
