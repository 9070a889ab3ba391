import { celsius } from '../../ingest/units.ts'
import type { CurveData, CurveRefusal } from '../fit/curve-fit.ts'
import { type DecayData, type DecayFit, fitDecay, halfLifeInterval } from '../fit/decay-fit.ts'
import { type Interval, logInterval } from '../fit/interval.ts'
import { at } from '../fit/linear-algebra.ts'
import { ACTIVATION_ENERGY, arrheniusFactor, REFERENCE_C } from '../model/arrhenius.ts'
import { type TemperatureCourse, temperatureAt } from '../model/warped-time.ts'
import { type WarmedDecay, warmedDecay } from './decay-at-20c.ts'
import { decayKind } from './decay-kind.ts'

/** The decay a phase is reported by: a plain one, or one over the measured temperature where that changed. */
export interface HeadlineDecay {
  readonly kind: 'fitted'
  /** In its own clock: minutes since flow-off, or minutes at 20 °C when `warmed`. */
  readonly fit: DecayFit
  readonly warmed?: WarmedDecay
  /** Minutes since the start of the phase in the clock of the fit. */
  readonly clock: (minutes: number) => number
  readonly halfLife: Interval
  readonly rate: Interval
  readonly halfLife20c?: Interval
  /** Mean fluid temperature of the phase, when measured. */
  readonly meanC?: number
}

export type Headline = HeadlineDecay | { readonly kind: 'refused'; readonly why: CurveRefusal }

/** A change of temperature that shows in the rate, K. */
export const WARMED_BY_K = 2

/** Spread of the published activation energies as a standard deviation: width over √12. */
const ENERGY_SD = (ACTIVATION_ENERGY.high - ACTIVATION_ENERGY.low) / Math.sqrt(12)

export const headlineDecay = (
  data: CurveData & { readonly breaks: readonly number[] },
  startS: number,
  course: TemperatureCourse | undefined,
  range: readonly [number, number] | undefined,
): Headline => {
  const firstOrder: DecayData = { ...data, order: 1 }
  if (course !== undefined && range !== undefined && range[1] - range[0] > WARMED_BY_K) {
    const warmed = warmedDecay(firstOrder, startS, course)
    if (warmed !== undefined) return fromWarmed(warmed, data, startS, course)
  }
  const plain = fitDecay(firstOrder)
  if (plain.kind === 'refused') return plain
  const kind = data.breaks.length > 0 ? { order: 1 as const, floored: false } : decayKind(data, plain.rate)
  const other = kind.order === 1 && !kind.floored ? plain : fitDecay({ ...data, ...kind })
  return plainHeadline(other.kind === 'refused' ? plain : other, range)
}

/** At a temperature that did not change. */
export const plainHeadline = (fit: DecayFit, range: readonly [number, number] | undefined): HeadlineDecay => {
  const logSe = Math.sqrt(at(fit.covariance, fit.covariance.length - 1))
  const halfLife = halfLifeInterval(fit)
  const common = {
    kind: 'fitted' as const,
    fit,
    clock: (minutes: number) => minutes,
    halfLife,
    rate: logInterval(fit.rate, logSe, fit.t),
  }
  if (range === undefined) return common
  const meanC = (range[0] + range[1]) / 2
  return { ...common, meanC, halfLife20c: carriedTo20c(halfLife, logSe, fit.t, meanC) }
}

/** A steady temperature: the half-life times the Arrhenius factor, whose energy is uncertain by its published range. */
const carriedTo20c = (halfLife: Interval, logSe: number, t: number, meanC: number): Interval => {
  const factor = arrheniusFactor(celsius(meanC), ACTIVATION_ENERGY.central)
  const perEnergy = Math.log(factor) / ACTIVATION_ENERGY.central
  return logInterval(halfLife.value * factor, Math.hypot(logSe, perEnergy * ENERGY_SD), t)
}

const fromWarmed = (
  warmed: WarmedDecay,
  data: CurveData,
  startS: number,
  course: TemperatureCourse,
): HeadlineDecay => {
  const last = at(data.times, data.times.length - 1)
  const meanC = meanTemperature(course, startS + 60 * at(data.times, 0), startS + 60 * last)
  const { t } = warmed.fit
  const atMean = warmed.logRateAt(meanC)
  const at20 = warmed.logRateAt(REFERENCE_C)
  return {
    kind: 'fitted',
    fit: warmed.fit,
    warmed,
    clock: (minutes) => at(warmed.clock(Float64Array.of(minutes)), 0),
    halfLife: logInterval(Math.LN2 / Math.exp(atMean.value), atMean.se, t),
    rate: logInterval(Math.exp(atMean.value), atMean.se, t),
    halfLife20c: logInterval(Math.LN2 / Math.exp(at20.value), at20.se, t),
    meanC,
  }
}

export const meanTemperature = (course: TemperatureCourse, fromS: number, toS: number): number => {
  let sum = 0
  const steps = 24
  for (let i = 0; i <= steps; i++) sum += temperatureAt(course, fromS + ((toS - fromS) * i) / steps)
  return sum / (steps + 1)
}
