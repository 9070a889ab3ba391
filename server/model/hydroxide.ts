import { type Celsius, celsius, toKelvin } from '../../ingest/units.ts'
import { ACTIVATION_ENERGY, arrheniusFactor } from './arrhenius.ts'
import type { Spread } from './solubility.ts'

/**
 * Ozone and hydroxide, L/(mol·s): 70 ± 7 with three ozone molecules consumed per event, Staehelin & Hoigné, Environ. Sci.
 * Technol. 16, 676 (1982). Whether the constant counts events or molecules is read both ways, hence three times at the
 * upper end. Measured near room temperature; 25 °C taken here.
 */
const RATE = { low: 63, central: 70, high: 210 } as const
const MEASURED_AT = celsius(25)

/** Ionic product of water · pKw = 4470.99/T − 6.0875 + 0.01706·T, 0 to 60 °C (Harned & Hamer, from memory). */
export const ionicProduct = (t: Celsius): number => {
  const kelvin = toKelvin(t)
  return 4470.99 / kelvin - 6.0875 + 0.01706 * kelvin
}

/**
 * Half-life of dissolved ozone, minutes, were there nothing in the water but hydroxide · ln 2/(k·10^(pH − pKw)). No chain:
 * fluids lose ozone faster than this, never more slowly. pH 0 to 14; below 7 it is days and says nothing.
 */
export const hydroxideHalfLife = (ph: number, t: Celsius): Spread => {
  const hydroxide = 10 ** (ph - ionicProduct(t))
  const energies = [ACTIVATION_ENERGY.low, ACTIVATION_ENERGY.high]
  const factors = energies.map((energy) => arrheniusFactor(t, energy, MEASURED_AT))
  const minutes = (rate: number, factor: number) => Math.LN2 / (rate * factor * hydroxide * 60)
  return {
    low: minutes(RATE.high, Math.max(...factors)),
    central: minutes(RATE.central, arrheniusFactor(t, ACTIVATION_ENERGY.central, MEASURED_AT)),
    high: minutes(RATE.low, Math.min(...factors)),
  }
}
