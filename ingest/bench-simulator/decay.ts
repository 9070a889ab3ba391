import { type Celsius, celsius, type MgPerL, toKelvin } from '../units.ts'

export type DecayOrder = 1 | 1.5 | 2

export interface DecayLaw {
  readonly order: DecayOrder
  /** Half-life at 20 °C, min, of fluid that starts at `startMgPerL` (which matters only when the order is not 1). */
  readonly halfLifeMin20: number
  readonly startMgPerL: number
  readonly activationKjPerMol: number
}

const GAS_CONSTANT_KJ = 8.314463e-3
const REFERENCE_K = toKelvin(celsius(20))

/** Loss of dissolved ozone to its own decay, mg/L per min: k(T)·C^n. Nothing below zero decays. */
export const decayRate = (law: DecayLaw, dissolved: MgPerL, fluid: Celsius): number => {
  const present = Math.max(0, dissolved)
  return rateConstant20(law) * warmth(law, fluid) * present ** law.order
}

/** How much faster than at 20 °C: exp[−(E_a/R)(1/T − 1/293.15)] (Arrhenius). */
const warmth = (law: DecayLaw, fluid: Celsius): number =>
  Math.exp(-(law.activationKjPerMol / GAS_CONSTANT_KJ) * (1 / toKelvin(fluid) - 1 / REFERENCE_K))

/** Definition of the half-life turned round: k = ln 2/t½, or (2^(n−1) − 1)·C0^(1−n)/((n − 1)·t½) for n ≠ 1. */
const rateConstant20 = ({ order, halfLifeMin20, startMgPerL }: DecayLaw): number =>
  order === 1
    ? Math.LN2 / halfLifeMin20
    : ((2 ** (order - 1) - 1) * startMgPerL ** (1 - order)) / ((order - 1) * halfLifeMin20)
