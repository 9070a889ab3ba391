import { leftAt } from '../fit/decay-fit.ts'
import { at } from '../fit/linear-algebra.ts'
import { type CalibrationUncertainty, calibrationU } from '../verdict/decision.ts'
import type { DecayResult } from './decay-report.ts'
import type { PhaseResult } from './fit-batch.ts'
import type { Estimate, Quantity } from './quantity-schema.ts'
import type { AnalysedPhase } from './schema.ts'

const NORMAL_TWO_SIDED = 1.959964

/**
 * The report with, beside each type A interval, the one that also carries the calibration (type B), added in squares
 * (JCGM 100:2008, 5.1). A slope that is off moves concentrations and no rate; a zero that is off moves concentrations,
 * the t95 from an actual start, and the half-life, which then falls towards that zero. Nothing is added without a
 * calibration on file.
 */
export const withFullIntervals = (
  result: PhaseResult,
  calibration: CalibrationUncertainty | undefined,
): AnalysedPhase => {
  if (calibration === undefined) return result.report
  switch (result.kind) {
    case 'rise':
      return fullRise(result.report, calibration)
    case 'purge':
      return fullPurge(result.report, calibration)
    case 'decay':
      return fullDecay(result, calibration)
    default:
      return result satisfies never
  }
}

type Report<K extends AnalysedPhase['kind']> = Extract<AnalysedPhase, { kind: K }>

const fullRise = (report: Report<'rise'>, calibration: CalibrationUncertainty): AnalysedPhase => {
  const plateau = report.plateau_mg_l
  const t95 = report.t95_min
  const rate = report.rate_per_min
  const zeroInT95 =
    isEstimate(plateau) && isEstimate(t95) && isEstimate(rate)
      ? calibration.uZeroMgPerL / (plateau.value * rate.value * t95.value)
      : 0
  return {
    ...report,
    ...given('plateau_mg_l', level(plateau, calibration)),
    ...given('start_mg_l', level(report.start_mg_l, calibration)),
    ...given('rate_per_min', relative(rate, 0)),
    ...given('t95_min', relative(t95, zeroInT95)),
    ...given('t95_from_zero_min', relative(report.t95_from_zero_min, 0)),
  }
}

const fullPurge = (report: Report<'purge'>, calibration: CalibrationUncertainty): AnalysedPhase => ({
  ...report,
  ...given('start_mg_l', level(report.start_mg_l, calibration)),
  ...given('end_mg_l', level(report.end_mg_l, calibration)),
})

const fullDecay = (result: DecayResult, calibration: CalibrationUncertainty): AnalysedPhase => {
  const { report } = result
  const u = calibration.uZeroMgPerL * Math.abs(zeroSensitivity(result))
  return {
    ...report,
    ...given('start_mg_l', level(report.start_mg_l, calibration)),
    ...given('rate_per_min', relative(report.rate_per_min, u)),
    ...given('half_life_min', relative(report.half_life_min, u)),
    ...given('half_life_20c_min', relative(report.half_life_20c_min, u)),
  }
}

/** Enough points to tell how a curve answers to an offset. */
const LOOKED_AT = 200

/**
 * How far ln(rate) moves for each mg/L that all readings are off · Σ r̃ / Σ r̃², with r = ∂C/∂ln k less its part along
 * ∂C/∂C0: least squares, linearised; one amplitude also where draw-ups stepped the reading. 0 where a floor is fitted.
 */
const zeroSensitivity = ({ fit, readings }: DecayResult): number => {
  if (fit === undefined || fit.floor !== 0 || readings.times.length < 2) return 0
  const stride = Math.max(1, Math.floor(readings.times.length / LOOKED_AT))
  const times = readings.times.filter((_, i) => i % stride === 0)
  const shape = Array.from(times, (t) => leftAt(fit, t))
  const along = sum(shape, (s) => s.left * s.left)
  const part = sum(shape, (s) => s.left * s.slope) / along
  const ones = sum(shape, (s) => s.left) / along
  const [top, bottom] = shape.reduce(
    ([a, b], { left, slope }) => {
      const r = slope - part * left
      return [a + r * (1 - ones * left), b + r * r]
    },
    [0, 0] as [number, number],
  )
  return bottom === 0 ? 0 : top / bottom / at(fit.starts, 0)
}

const sum = <T>(items: readonly T[], of: (item: T) => number): number =>
  items.reduce((total, item) => total + of(item), 0)

const isEstimate = (quantity: Quantity | undefined): quantity is Estimate =>
  quantity !== undefined && 'value' in quantity

const level = (quantity: Quantity | undefined, calibration: CalibrationUncertainty): Quantity | undefined => {
  if (!isEstimate(quantity)) return quantity
  const { value, ci95 } = quantity
  const b = NORMAL_TWO_SIDED * calibrationU(value, calibration)
  return {
    ...quantity,
    full_ci95: [value - Math.hypot(value - ci95[0], b), value + Math.hypot(ci95[1] - value, b)],
  }
}

/** For what is positive and skewed: uncertainties add in the logarithm. */
const relative = (quantity: Quantity | undefined, u: number): Quantity | undefined => {
  if (!isEstimate(quantity) || quantity.value <= 0 || quantity.ci95[0] <= 0) return quantity
  const { value, ci95 } = quantity
  const b = NORMAL_TWO_SIDED * u
  const reach = (end: number) => Math.exp(Math.hypot(Math.log(end / value), b))
  return { ...quantity, full_ci95: [value / reach(ci95[0]), value * reach(ci95[1])] }
}

const given = <K extends string>(key: K, quantity: Quantity | undefined): Partial<Record<K, Quantity>> =>
  quantity === undefined ? {} : ({ [key]: quantity } as Record<K, Quantity>)
