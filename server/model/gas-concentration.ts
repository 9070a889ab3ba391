import { type UgPerNml, ugPerNml, ZERO_CELSIUS_K } from '../../ingest/units.ts'

/** The state a gas concentration is stated at; without it the number can be 8 % off. */
export type GasReference =
  | 'normal-0c-101kpa'
  | 'stp-0c-100kpa'
  | '15c-101kpa'
  | '20c-101kpa'
  | '25c-100kpa'
  | 'ambient'

export interface GasReading {
  /** Ozone, µg per mL of gas at the reference state (= g/m³). */
  readonly ugPerMl: number
  readonly reference: GasReference
}

/** State of a gas: temperature in °C and absolute pressure in kPa. */
export interface GasState {
  readonly celsius: number
  readonly kpa: number
}

export const NORMAL_KPA = 101.325

/** 0 °C 101.325 kPa: DIN 1343. 0 °C 100 kPa: IUPAC STP. 15 °C: ISO 13443. 20 °C, 25 °C 100 kPa: from memory. */
const states: Record<Exclude<GasReference, 'ambient'>, GasState> = {
  'normal-0c-101kpa': { celsius: 0, kpa: NORMAL_KPA },
  'stp-0c-100kpa': { celsius: 0, kpa: 100 },
  '15c-101kpa': { celsius: 15, kpa: NORMAL_KPA },
  '20c-101kpa': { celsius: 20, kpa: NORMAL_KPA },
  '25c-100kpa': { celsius: 25, kpa: 100 },
}

/** Concentration per normal mL · C_N = C·(T/273.15)·(101.325/P), ideal gas. `ambient` is the state at the meter. */
export const toNormal = (gas: GasReading, ambient: GasState): UgPerNml => {
  const state = gas.reference === 'ambient' ? ambient : states[gas.reference]
  return ugPerNml(
    (gas.ugPerMl * ((state.celsius + ZERO_CELSIUS_K) / ZERO_CELSIUS_K) * NORMAL_KPA) / state.kpa,
  )
}

/** Concentration per mL of gas at a state, from the normal one: the inverse of `toNormal`. */
export const atState = (normal: UgPerNml, state: GasState): number =>
  ((normal * ZERO_CELSIUS_K) / (state.celsius + ZERO_CELSIUS_K)) * (state.kpa / NORMAL_KPA)

/** The state an `ambient` gas value of a batch was read at: the fluid's temperature, the room's pressure. */
export const ambientOf = (where: {
  readonly temperatureC: number
  readonly pressureKpa?: number
}): GasState => ({ celsius: where.temperatureC, kpa: where.pressureKpa ?? NORMAL_KPA })
