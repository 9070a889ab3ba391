import { celsius, perMinute } from '../../ingest/units.ts'
import { ambientOf, type GasReading, NORMAL_KPA } from './gas-concentration.ts'
import { apparentRate } from './gas-depletion.ts'
import { type Fluid, HALF_LIFE_SOURCES, halfLifePrior } from './half-life-prior.ts'
import { hydroxideHalfLife } from './hydroxide.ts'
import { conditionNotes, type MeasuredConditions, type Recorded } from './measured-conditions.ts'
import { salineFactor } from './salting-out.ts'
import { coreSaturation } from './saturation.ts'
import { coreSolubility, type Spread } from './solubility.ts'

export type { Fluid } from './half-life-prior.ts'

export interface ExpectationInput {
  readonly fluid: Fluid
  readonly volumeMl: number
  readonly gas: GasReading
  /** At ambient temperature and pressure. */
  readonly flowMlPerMin: number
  readonly temperatureC: number
  /** Barometer; 101.325 when absent, which a note then says. */
  readonly pressureKpa?: number
  /** What instruments measured; gas, flow and pressure above are already theirs. */
  readonly measured?: MeasuredConditions
  /** What people recorded of gas and flow. */
  readonly recorded?: Recorded
}

export interface Band extends Spread {
  readonly sources: readonly string[]
}

export interface Expectation {
  readonly plateau_mg_l: Band
  readonly rate_per_min: Band
  readonly t95_min: Band
  readonly half_life_min: Band
  readonly notes: readonly string[]
}

/** Small spargers in small flasks, 1/min. From memory; not predictable to better than a factor of three. */
const TRANSFER_COEFFICIENT: Spread = { low: 0.3, central: 0.9, high: 3 }

const SOLUBILITY_SOURCES = [
  'centre: Sander, Atmos. Chem. Phys. 23, 10901 (2023); band: six published correlations that agree to 7 %',
  'salt: Kosak-Channing & Helz, Environ. Sci. Technol. 17, 145 (1983)',
  'plateau = C*·k_app/(k_app + k_d)',
]
const RATE_SOURCES = [
  'transfer coefficient 0.3-3 per min: typical of small spargers, from memory',
  'gas depletion: k_app = (Q/SV)(1 − e^(−kLa·S·V/Q))',
]

/** What the bands below are made of, each as a spread: equilibrium mg/L, transfer rate 1/min, half-life min. */
export interface ExpectationParts {
  readonly equilibrium: Spread
  readonly transfer: Spread
  readonly halfLife: Spread
}

export const expectationParts = (input: ExpectationInput): ExpectationParts => ({
  equilibrium: coreSaturation({
    ...input,
    pressureKpa: input.pressureKpa ?? NORMAL_KPA,
    saline: input.fluid === 'saline',
  }),
  transfer: transferRates(input),
  halfLife: knownPh(halfLifePrior(input.fluid, celsius(input.temperatureC)), input),
})

/**
 * What physics says of a batch before it is bubbled, always as a band: plateau from solubility, gas and decay; rate
 * from flow, volume and the gas-depletion limit; half-life as a prior by fluid. 0 to 40 °C; notes say when outside.
 */
export const expectation = (input: ExpectationInput): Expectation => {
  const parts = expectationParts(input)
  const { halfLife, transfer } = parts
  const rate = {
    low: transfer.low + Math.LN2 / halfLife.high,
    central: transfer.central + Math.LN2 / halfLife.central,
    high: transfer.high + Math.LN2 / halfLife.low,
  }
  return {
    plateau_mg_l: { ...plateau(parts), sources: SOLUBILITY_SOURCES },
    rate_per_min: { ...rate, sources: RATE_SOURCES },
    t95_min: {
      low: Math.log(20) / rate.high,
      central: Math.log(20) / rate.central,
      high: Math.log(20) / rate.low,
      sources: [...RATE_SOURCES, 'ln 20/k'],
    },
    half_life_min: { ...halfLife, sources: HALF_LIFE_SOURCES },
    notes: notes(input),
  }
}

/** Measured pH: no fluid keeps its ozone longer than hydroxide alone lets it. */
const knownPh = (prior: Spread, { measured, temperatureC }: ExpectationInput): Spread => {
  if (measured?.ph === undefined) return prior
  const limit = hydroxideHalfLife(measured.ph, celsius(temperatureC))
  const under = (minutes: number) => 1 / (1 / minutes + 1 / limit.central)
  return {
    low: 1 / (1 / prior.low + 1 / limit.low),
    central: under(prior.central),
    high: 1 / (1 / prior.high + 1 / limit.high),
  }
}

/** Cold fluid holds more and, at low flow, fills more slowly: the salted solubility enters the depletion limit. */
const transferRates = (input: ExpectationInput): Spread => {
  const t = celsius(input.temperatureC)
  const salt = input.fluid === 'saline' ? salineFactor(t).central : 1
  const bubbling = { ...input, solubilityRatio: coreSolubility(t).central * salt }
  const rate = (kLa: number) => apparentRate(perMinute(kLa), bubbling)
  return {
    low: rate(TRANSFER_COEFFICIENT.low),
    central: rate(TRANSFER_COEFFICIENT.central),
    high: rate(TRANSFER_COEFFICIENT.high),
  }
}

const plateau = ({ equilibrium, transfer, halfLife }: ExpectationParts): Spread => {
  const reached = (rate: number, life: number) => rate / (rate + Math.LN2 / life)
  return {
    low: equilibrium.low * reached(transfer.low, halfLife.low),
    central: equilibrium.central * reached(transfer.central, halfLife.central),
    high: equilibrium.high * reached(transfer.high, halfLife.high),
  }
}

const notes = (input: ExpectationInput): string[] => [
  ...(input.pressureKpa === undefined
    ? ['no barometer: 101.3 kPa assumed; 1 % lower per 85 m of altitude']
    : []),
  ...(input.gas.reference === 'ambient'
    ? ['gas value taken as read at the temperature of the fluid and the pressure of the room']
    : []),
  ...(input.temperatureC < 0 || input.temperatureC > 40
    ? ['fluid temperature outside 0 to 40 °C: the correlations are extrapolated']
    : []),
  ...conditionNotes(input.fluid, input.measured ?? {}, input.recorded ?? {}, ambientOf(input)),
  ...(input.fluid === 'other' ? ['fluid not known: no salting-out, widest half-life band'] : []),
]
