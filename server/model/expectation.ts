import type { GasReading } from './gas-concentration.ts'

export type Fluid = 'saline' | 'distilled' | 'filtered' | 'other'

export interface ExpectationInput {
  readonly fluid: Fluid
  readonly volumeMl: number
  readonly gas: GasReading
  /** At ambient temperature and pressure. */
  readonly flowMlPerMin: number
  readonly temperatureC: number
  /** Barometer; 101.325 when absent, which a note then says. */
  readonly pressureKpa?: number
}

export interface Band {
  readonly low: number
  readonly central: number
  readonly high: number
  readonly sources: readonly string[]
}

export interface Expectation {
  readonly plateau_mg_l: Band
  readonly rate_per_min: Band
  readonly t95_min: Band
  readonly half_life_min: Band
  readonly notes: readonly string[]
}

/** Signature of `expectation`, for callers written at the same time. */
export type ExpectationOf = (input: ExpectationInput) => Expectation
