import { type Celsius, toKelvin } from '../../ingest/units.ts'
import type { Spread } from './solubility.ts'

/** 0.9 % saline: 9 g/L over 58.44 g/mol. */
export const SALINE_MOL_PER_L = 0.154

/**
 * Sechenov constant of NaCl for ozone, L/mol, in log10(S0/S) = K·c · 0 to 37 °C (measured 5 to 30).
 * K = (2.659 − 688/T)/ln 10: Kosak-Channing & Helz, Environ. Sci. Technol. 17, 145 (1983), from memory.
 */
export const sechenovMeasured = (t: Celsius): number => (2.659 - 688 / toKelvin(t)) / Math.LN10

/**
 * The same by the ion model K = h_Na + h_Cl + 2·h_G. Weisenberger & Schumpe, AIChE J. 42, 298 (1996); ozone term of
 * Rischbieter, Stein & Schumpe, J. Chem. Eng. Data 45, 338 (2000); constants from memory.
 */
export const sechenovIonModel = (t: Celsius): number => 0.1143 + 0.0318 + 2 * (0.00396 + 0.00179 * (t - 25))

/** S in salt water over S in pure water · 10^(−K·c), c in mol/L. */
export const saltingOutFactor = (sechenov: number, molPerL: number): number => 10 ** (-sechenov * molPerL)

/**
 * Lowest defensible factor for 0.9 % saline: Levanov et al., Russ. J. Phys. Chem. A 82, 2045 (2008) found S = 0.16
 * in 1 mol/L NaCl at 20 °C, which is K = 0.24 to 0.29; taken in alkaline solution, so probably part decay.
 */
const DISSENTING_LOW = 0.9

/** Factor for 0.9 % saline with its band. A 3 to 10 % effect: it cannot explain a twofold difference. */
export const salineFactor = (t: Celsius): Spread => {
  const central = saltingOutFactor(sechenovMeasured(t), SALINE_MOL_PER_L)
  const other = saltingOutFactor(sechenovIonModel(t), SALINE_MOL_PER_L)
  return { low: Math.min(DISSENTING_LOW, central, other), central, high: Math.max(central, other) }
}
