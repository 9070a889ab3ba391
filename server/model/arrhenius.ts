import { type Celsius, celsius, toKelvin } from '../../ingest/units.ts'
import { GAS_CONSTANT } from './solubility-sources.ts'

/**
 * Activation energy of ozone decay in prepared fluids, kJ/mol. Published values run from 46.6 (fit to the much-copied
 * pH 7 table, no primary source) to 79.5 ± 8.0 (Sehested et al., Environ. Sci. Technol. 25, 1589 (1991), acid).
 * The middle is engineering judgement; learn it per fluid from batches over at least 10 K.
 */
export const ACTIVATION_ENERGY = { low: 45, central: 65, high: 80 } as const

/** Half-lives are compared at this temperature. */
export const REFERENCE_C: Celsius = celsius(20)

/** Rate at t over rate at `reference` · exp[−(E/R)(1/T − 1/T_ref)], E in kJ/mol. */
export const arrheniusFactor = (t: Celsius, energyKj: number, reference: Celsius = REFERENCE_C): number =>
  Math.exp(-((energyKj * 1000) / GAS_CONSTANT) * (1 / toKelvin(t) - 1 / toKelvin(reference)))

/** Half-life at `to`, given one at `from`; same unit in and out. */
export const halfLifeAt = (halfLife: number, from: Celsius, to: Celsius, energyKj: number): number =>
  halfLife / arrheniusFactor(to, energyKj, from)
