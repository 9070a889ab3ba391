import { celsius, type MgPerL, mgPerL } from '../../ingest/units.ts'
import { atState, type GasReading, toNormal } from './gas-concentration.ts'
import { salineFactor } from './salting-out.ts'
import { coreSolubility, type Spread, wideSolubility } from './solubility.ts'
import { waterVapourPressure } from './water.ts'

export interface SaturationConditions {
  readonly gas: GasReading
  readonly temperatureC: number
  readonly pressureKpa: number
  readonly saline: boolean
}

/**
 * Dissolved ozone at equilibrium with the bubbles, mg/L · C* = S(T)·C_N·(273.15/T)·(P − p_w)/101.325.
 * The feed gas is dry and takes up water vapour in the bubbler. `ambient` readings are taken to be at the fluid's
 * temperature and the barometer's pressure. 0 to 40 °C; ideal gas; the liquid head (0.5 % per 10 cm) is left out.
 */
export const saturation = (ratio: number, where: Omit<SaturationConditions, 'saline'>): MgPerL => {
  const t = celsius(where.temperatureC)
  const state = { celsius: where.temperatureC, kpa: where.pressureKpa }
  const dryGas = atState(toNormal(where.gas, state), state)
  return mgPerL(ratio * dryGas * (1 - waterVapourPressure(t) / where.pressureKpa))
}

/** C* over a band of solubility sources, salting-out included. */
const saturationOver = (ratios: Spread, where: SaturationConditions): Spread => {
  const salt = where.saline ? salineFactor(celsius(where.temperatureC)) : { low: 1, central: 1, high: 1 }
  return {
    low: saturation(ratios.low * salt.low, where),
    central: saturation(ratios.central * salt.central, where),
    high: saturation(ratios.high * salt.high, where),
  }
}

/** Band over the modern, mutually consistent sources. */
export const coreSaturation = (where: SaturationConditions): Spread =>
  saturationOver(coreSolubility(celsius(where.temperatureC)), where)

/** Band over every credible source. */
export const wideSaturation = (where: SaturationConditions): Spread =>
  saturationOver(wideSolubility(celsius(where.temperatureC)), where)
