import type { DecayOrder } from '../model/decay-order.ts'
import type { DecaySeen } from './rate-posterior.ts'
import type { RatePrior } from './rate-prior.ts'

/** An order the decay may have: potency and starting rate now, as parts of what the state says. */
export interface OrderOdds {
  readonly order: DecayOrder
  readonly weight: number
  readonly rateFactor: number
  readonly potencyFactor: number
}

/** Where a decay stands now: potency by the readings, the rate by readings or prior or both. */
export interface DecayState {
  readonly order: DecayOrder
  /** mg/L, the fluid's own value: probe lag taken out. */
  readonly potency: number
  /** Of ln C. */
  readonly potencyVariance: number
  /** The starting rate from this value at the temperature now, as the readings tell it; absent before they do. */
  readonly seen?: DecaySeen & {
    /** Of ln C with the rate, 1/min. */
    readonly covariance: number
  }
  readonly prior?: RatePrior
  /** Orders still possible, weights summing to about 1; absent: `order` alone. */
  readonly orders?: readonly OrderOdds[]
  /** Mean temperature of the readings behind the rate; from here the activation energy carries it to now. */
  readonly learntAtC?: number
}

/** Past this a forecast means nothing; the answer is "not within a day". */
export const HORIZON_MIN = 24 * 60
