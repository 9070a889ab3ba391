import { type Celsius, celsius, toKelvin } from '../../ingest/units.ts'
import type { EntryData } from '../ledger/entry.ts'
import { sander, solubilitySources } from '../model/solubility-sources.ts'
import type { Senses } from './fluid-factor.ts'

/** What the meter itself corrects for temperature. */
export type Compensation = NonNullable<EntryData<'calibration'>['compensation']>

export type TemperatureFactor =
  | { readonly kind: 'factor'; readonly factor: number; readonly uRelative: number }
  | { readonly kind: 'not-for-this-temperature' }

const SAME: TemperatureFactor = { kind: 'factor', factor: 1, uRelative: 0 }
const NOT_FOR_IT: TemperatureFactor = { kind: 'not-for-this-temperature' }

interface Parts {
  /** Undefined: not stated. */
  readonly compensation: Compensation | undefined
  readonly senses: Senses | undefined
  /** °C of the fluid when the probe was calibrated; undefined: not stated. */
  readonly calibratedAtC: number | undefined
  /** °C of the fluid now; undefined: no thermometer. */
  readonly temperatureC: number | undefined
}

/** The correlations for solubility hold from 0 to 40 °C. */
const RANGE_C = { low: 0, high: 40 }
/** Wider than this no statement about a target is left; common practice, no source. */
const MOST_U = 0.25

/**
 * What a value in mg/L is multiplied by when a membrane probe was calibrated at one temperature and used at another.
 * Its current is i ∝ P(t)·C/H(t), with permeability P and solubility H = S/(R·T) of ozone, so
 * C = shown · [P(t_cal)/P(t)] · [H(t)/H(t_cal)], less what the meter does itself:
 * none: both remain · membrane: H(t)/H(t_cal) remains · membrane and solubility: nothing remains but what careful
 * sources for H disagree, because the meter's own table is one of them. Salt is another factor (`fluid-factor.ts`).
 *
 * Not stated which: nothing is multiplied and the whole difference becomes uncertainty, likewise where it is not
 * known what the probe senses. A probe for concentration is left alone. Outside 0 to 40 °C, without a temperature of
 * either side, or where more than a quarter would be uncertain, the calibration is not for this temperature.
 */
export const temperatureFactor = (parts: Parts): TemperatureFactor => {
  const { compensation, senses, calibratedAtC, temperatureC } = parts
  if (senses === 'concentration') return SAME
  if (compensation === undefined && calibratedAtC === undefined) return SAME
  if (calibratedAtC === undefined || temperatureC === undefined)
    return compensation === 'membrane-and-solubility' ? SAME : NOT_FOR_IT
  if (!isWithin(calibratedAtC) || !isWithin(temperatureC)) return NOT_FOR_IT
  const { ln, u } = remaining(compensation ?? 'none', celsius(calibratedAtC), celsius(temperatureC))
  const isKnown = compensation !== undefined && senses !== undefined
  const uRelative = isKnown ? u : Math.hypot(u, ln / Math.sqrt(3))
  if (uRelative > MOST_U) return NOT_FOR_IT
  return { kind: 'factor', factor: isKnown ? Math.exp(ln) : 1, uRelative }
}

const isWithin = (t: number): boolean => t >= RANGE_C.low && t <= RANGE_C.high

/** ln of the factor with its standard uncertainty; bounds count as rectangular, JCGM 100:2008, 4.3.7. */
interface Log {
  readonly ln: number
  readonly u: number
}

const remaining = (compensation: Compensation, from: Celsius, to: Celsius): Log => {
  const solubility = solubilityRatio(from, to)
  switch (compensation) {
    case 'membrane-and-solubility':
      return { ln: 0, u: solubility.u }
    case 'membrane':
      return solubility
    case 'none': {
      const membrane = permeabilityRatio(from, to)
      return { ln: solubility.ln - membrane.ln, u: Math.hypot(solubility.u, membrane.u) }
    }
    default:
      return compensation satisfies never
  }
}

/** H(to)/H(from), H = S/(R·T), of pure water; central as in `solubility.ts`, as far off as the core sources are. */
const solubilityRatio = (from: Celsius, to: Celsius): Log => {
  const kelvins = Math.log(toKelvin(from) / toKelvin(to))
  const by = (ratio: (t: Celsius) => number) => Math.log(ratio(to) / ratio(from)) + kelvins
  const ln = by(sander.ratio)
  const off = solubilitySources.filter((s) => s.use === 'core').map((s) => Math.abs(by(s.ratio) - ln))
  return { ln, u: Math.max(...off) / Math.sqrt(3) }
}

/** Membranes let 2 to 5 % more through for each kelvin; from memory. */
const PERMEABILITY_PER_K = { central: 0.035, halfWidth: 0.015 }

const permeabilityRatio = (from: Celsius, to: Celsius): Log => ({
  ln: PERMEABILITY_PER_K.central * (to - from),
  u: (PERMEABILITY_PER_K.halfWidth * Math.abs(to - from)) / Math.sqrt(3),
})
