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
