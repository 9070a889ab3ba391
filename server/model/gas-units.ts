import { type UgPerNml, ugPerNml, ZERO_CELSIUS_K } from '../../ingest/units.ts'
import { GAS_CONSTANT } from './solubility-sources.ts'

/** Molar mass of ozone, g/mol: three times the standard atomic weight of oxygen, 15.999 (IUPAC 2021). */
export const OZONE_G_PER_MOL = 47.998
/** Ideal-gas molar volume at 0 °C and 101.325 kPa, m³/mol (CODATA 2018). */
const NORMAL_M3_PER_MOL = 22.41396954e-3
/** 2141.4 and 1427.6 g/m³. */
const OZONE_DENSITY = OZONE_G_PER_MOL / NORMAL_M3_PER_MOL
const OXYGEN_DENSITY = ((2 / 3) * OZONE_G_PER_MOL) / NORMAL_M3_PER_MOL

/** Volume fraction of ozone in the gas, 0 to 1, from µg/NmL. */
export const volumeFraction = (gas: UgPerNml): number => gas / OZONE_DENSITY

/** Weight fraction of ozone in oxygen, 0 to 1 · w = C/(C + (1 − C/2141.4)·1427.6). */
export const weightFractionInOxygen = (gas: UgPerNml): number =>
  gas / (gas + (1 - volumeFraction(gas)) * OXYGEN_DENSITY)

/** µg/NmL from the weight fraction in oxygen · C = 1427.6 w/(1 − w(1 − 1427.6/2141.4)). */
export const fromWeightFraction = (w: number): UgPerNml =>
  ugPerNml((OXYGEN_DENSITY * w) / (1 - w * (1 - OXYGEN_DENSITY / OZONE_DENSITY)))

/** mg/m³ of ozone in air from ppm by volume · ppm·M·P/(R·T); P in kPa, t in °C. */
export const mgPerM3FromPpm = (ppm: number, celsius: number, kpa = 101.325): number =>
  (ppm * OZONE_G_PER_MOL * kpa) / (GAS_CONSTANT * (celsius + ZERO_CELSIUS_K))
