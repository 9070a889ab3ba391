import { celsius } from '../../ingest/units.ts'
import type { EntryData } from '../ledger/entry.ts'
import { salineFactor } from '../model/salting-out.ts'

type Fluid = EntryData<'batch-opened'>['fluid']

export interface FluidNamed {
  readonly fluid: Fluid
  readonly detail?: string | undefined
}

/** What a probe answers to: the partial pressure of ozone (behind a membrane), or its concentration (light, bare electrode). */
export type Senses = NonNullable<EntryData<'calibration'>['senses']>

export type FluidFactor =
  | { readonly kind: 'factor'; readonly factor: number; readonly uRelative: number }
  | { readonly kind: 'not-for-this-fluid' }

const SAME: FluidFactor = { kind: 'factor', factor: 1, uRelative: 0 }
const NOT_FOR_IT: FluidFactor = { kind: 'not-for-this-fluid' }

interface Parts {
  readonly calibratedIn: FluidNamed | undefined
  readonly usedIn: FluidNamed | undefined
  readonly senses: Senses | undefined
  /** °C of the fluid; absent: anything from 0 to 37. */
  readonly temperatureC: number | undefined
  /** °C of the calibration fluid; absent: as now. */
  readonly calibratedAtC?: number | undefined
}

/**
 * What a value in mg/L is multiplied by when the probe was calibrated in one fluid and stands in another.
 * A membrane probe answers to activity, C/S: at one activity C goes as the solubility, so
 * C = shown · (S of the fluid in use)/(S of the calibration fluid), in 0.9 % saline after water 0.953 at 20 °C
 * (Sechenov, see `salting-out.ts`; 0 to 37 °C), each S against pure water of its own temperature, whatever the meter
 * compensates (`temperature-factor.ts`): salt it does not know. Where it is not known what the probe answers to or what it was
 * calibrated in, nothing is multiplied and the whole difference becomes uncertainty.
 * A fluid of unknown salt content has no factor: the calibration is not for it.
 */
export const fluidFactor = (parts: Parts): FluidFactor => {
  const { calibratedIn, usedIn, senses, temperatureC, calibratedAtC = temperatureC } = parts
  if (usedIn === undefined || senses === 'concentration') return SAME
  if (isSame(calibratedIn, usedIn)) return sameFluid(parts)
  if (usedIn.fluid === 'other' || calibratedIn?.fluid === 'other') return NOT_FOR_IT
  const used = saltEffect(usedIn.fluid, temperatureC)
  if (calibratedIn === undefined || senses === undefined) {
    const other = calibratedIn === undefined ? 'distilled' : calibratedIn.fluid
    const against = saltEffect(other, temperatureC)
    const most = calibratedIn === undefined ? salty(temperatureC) : Math.abs(1 - used.factor / against.factor)
    return { kind: 'factor', factor: 1, uRelative: Math.hypot(most / Math.sqrt(3), used.u, against.u) }
  }
  const before = saltEffect(calibratedIn.fluid, calibratedAtC)
  return {
    kind: 'factor',
    factor: used.factor / before.factor,
    uRelative: Math.hypot(used.u, before.u),
  }
}

/** In one fluid only the salt effect of the two temperatures differs; what is unsure of it errs the same way in both. */
const sameFluid = ({ usedIn, senses, temperatureC, calibratedAtC }: Parts): FluidFactor => {
  if (usedIn?.fluid !== 'saline' || senses === undefined) return SAME
  if (temperatureC === undefined || calibratedAtC === undefined) return SAME
  const at = (t: number) => salineFactor(celsius(t)).central
  return { kind: 'factor', factor: at(temperatureC) / at(calibratedAtC), uRelative: 0 }
}

const isSame = (a: FluidNamed | undefined, b: FluidNamed): boolean =>
  a?.fluid === b.fluid && (b.fluid !== 'other' || (b.detail !== undefined && a.detail === b.detail))

const UNKNOWN_C = { low: 0, likely: 20, high: 37 }
/** Salt in drinking water, 0.02 mol/L at most, lowers the solubility by up to this part; common practice, no source. */
const FILTERED_MOST = 0.007

/** Solubility against pure water with its relative standard uncertainty; bounds count as rectangular, JCGM 100:2008, 4.3.7. */
const saltEffect = (fluid: Exclude<Fluid, 'other'>, temperatureC: number | undefined) => {
  switch (fluid) {
    case 'distilled':
      return { factor: 1, u: 0 }
    case 'filtered':
      return { factor: 1, u: FILTERED_MOST / Math.sqrt(3) }
    case 'saline': {
      const { low, central, high } = salineFactor(celsius(temperatureC ?? UNKNOWN_C.likely))
      const widest = Math.max(central - low, high - central)
      return { factor: central, u: Math.hypot(widest / Math.sqrt(3), unknownU(temperatureC)) / central }
    }
    default:
      return fluid satisfies never
  }
}

const unknownU = (temperatureC: number | undefined): number => {
  if (temperatureC !== undefined) return 0
  const at = (t: number) => salineFactor(celsius(t)).central
  return (at(UNKNOWN_C.low) - at(UNKNOWN_C.high)) / Math.sqrt(12)
}

const salty = (temperatureC: number | undefined): number =>
  1 - salineFactor(celsius(temperatureC ?? UNKNOWN_C.likely)).central
