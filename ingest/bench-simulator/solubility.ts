import {
  type Celsius,
  type Kelvin,
  type Kilopascal,
  kilopascal,
  type MgPerL,
  mgPerL,
  toKelvin,
  type UgPerNml,
  ZERO_CELSIUS_K,
} from '../units.ts'

/** Molar gas constant, J/(mol K), exact since the 2019 SI (CODATA 2018), cut to seven figures. */
const GAS_CONSTANT = 8.314463
/** Normal pressure, kPa: the reference of a gas value per normal millilitre (ISO 10780, DIN 1343). */
const NORMAL_PRESSURE_KPA = 101.325
/** Sodium chloride in 0.9 % saline: 9 g/L over 58.44 g/mol. */
export const SALINE_MOL_PER_L = 0.154

/**
 * How much ozone water takes up: concentration in the liquid over concentration in the gas, both per actual volume.
 *
 *     S = H·R·T·f_salt,   H = 1.0e-4 mol/(m³ Pa) · exp[2800 K (1/T − 1/298.15 K)]
 *
 * Dimensionless; meant for 0-40 °C and up to 0.6 mol/L salt, extrapolated silently outside.
 * Sander, Compilation of Henry's law constants v5, Atmos. Chem. Phys. 23 (2023) 10901 (evaluated value).
 */
export const solubilityRatio = (fluid: Celsius, saltMolPerL: number): number => {
  const t = toKelvin(fluid)
  const henry = 1.0e-4 * Math.exp(2800 * (1 / t - 1 / 298.15))
  return henry * GAS_CONSTANT * t * saltingOut(t, saltMolPerL)
}

/**
 * Share of the solubility that salt leaves (Sechenov): 10^(−K c), K = (2.659 − 688/T)/ln 10 per mol/L.
 * Kosak-Channing & Helz, Environ. Sci. Technol. 17 (1983) 145: 5-30 °C, 0-0.6 mol/L (equation from memory, reproduced).
 */
const saltingOut = (t: Kelvin, saltMolPerL: number): number => Math.exp(-(2.659 - 688 / t) * saltMolPerL)

/**
 * Pressure of saturated water vapour, 0.61094·exp(17.625 t/(t + 243.04)) kPa, t in °C, −40 to 50 °C.
 * Alduchov & Eskridge, J. Appl. Meteorol. 35 (1996) 601 (from memory).
 */
export const waterVapour = (t: Celsius): Kilopascal =>
  kilopascal(0.61094 * Math.exp((17.625 * t) / (t + 243.04)))

/**
 * Ozone in the bubbles as they enter, per actual millilitre: the generator's value per normal millilitre, at the
 * fluid's temperature and pressure, thinned by the water vapour the dry gas picks up.
 */
export const gasInBubbles = (gas: UgPerNml, fluid: Celsius, pressure: Kilopascal): MgPerL =>
  mgPerL(gas * (ZERO_CELSIUS_K / toKelvin(fluid)) * ((pressure - waterVapour(fluid)) / NORMAL_PRESSURE_KPA))
