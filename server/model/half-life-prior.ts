import type { Celsius } from '../../ingest/units.ts'
import { ACTIVATION_ENERGY, halfLifeAt, REFERENCE_C } from './arrhenius.ts'
import type { Spread } from './solubility.ts'

export type Fluid = 'saline' | 'distilled' | 'filtered' | 'other'

/**
 * Half-life at 20 °C before any reading, minutes. No textbook value exists: published figures run from 8 min to 9 h
 * and an open vessel alone loses half in 30 to 60 min. Centres are engineering judgement, edges as sourced below.
 */
const at20: Record<Fluid, Spread> = {
  saline: { low: 15, central: 35, high: 90 },
  distilled: { low: 20, central: 45, high: 360 },
  filtered: { low: 8, central: 20, high: 60 },
  other: { low: 8, central: 30, high: 360 },
}

export const HALF_LIFE_SOURCES: readonly string[] = [
  'Razumovskii et al., Kinet. Catal. 51, 492 (2010): 6 h in pure water, 1.5 h in NaCl solution',
  'much-copied table for pH 7 water, 20 min at 20 °C, 8 min at 35 °C: no primary source',
  'central values: engineering judgement, surface loss of an open vessel included',
  'temperature: Arrhenius, 45-80 kJ/mol',
]

/** The prior at the fluid's temperature; the band takes whichever activation energy widens it. */
export const halfLifePrior = (fluid: Fluid, t: Celsius): Spread => {
  const shifted = (minutes: number, energy: number) => halfLifeAt(minutes, REFERENCE_C, t, energy)
  const { low, central, high } = at20[fluid]
  const energies = [ACTIVATION_ENERGY.low, ACTIVATION_ENERGY.high]
  return {
    low: Math.min(...energies.map((e) => shifted(low, e))),
    central: shifted(central, ACTIVATION_ENERGY.central),
    high: Math.max(...energies.map((e) => shifted(high, e))),
  }
}
