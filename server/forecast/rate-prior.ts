import { celsius } from '../../ingest/units.ts'
import { ACTIVATION_ENERGY, arrheniusFactor } from '../model/arrhenius.ts'
import type { DecayState } from './time-to-target.ts'

/** What is believed of ln(decay rate) before this batch's readings, at the temperature now. */
export interface RatePrior {
  readonly logRate: number
  readonly sd: number
  readonly basis: 'history' | 'expectation'
}

/** The clinic's own half-lives at 20 °C, brought to the temperature now; the activation energy widens it. */
export const priorFromHistory = (
  halfLife20c: { readonly meanLog: number; readonly sdLog: number },
  batches: number,
  nowC: number | undefined,
): RatePrior => {
  const factor = (energy: number) =>
    nowC === undefined ? 0 : Math.log(arrheniusFactor(celsius(nowC), energy))
  const carried = (factor(ACTIVATION_ENERGY.high) - factor(ACTIVATION_ENERGY.low)) / Math.sqrt(12)
  // spread of the next batch about a mean known from few: prediction, not confidence
  const spread = halfLife20c.sdLog * Math.sqrt(1 + 1 / Math.max(1, batches))
  return {
    logRate: Math.log(Math.LN2) - halfLife20c.meanLog + factor(ACTIVATION_ENERGY.central),
    sd: Math.hypot(Math.max(spread, 0.05), carried),
    basis: 'history',
  }
}

/** The physics band read as a central 90 % range of the logarithm. */
export const priorFromExpectation = (halfLife: {
  readonly low: number
  readonly central: number
  readonly high: number
}): RatePrior => ({
  logRate: Math.log(Math.LN2 / halfLife.central),
  sd: Math.log(halfLife.high / halfLife.low) / (2 * 1.6449),
  basis: 'expectation',
})

/** Normal quantiles: what remains when a prior carries the answer. */
const NORMAL = { twoSided: 1.959964, oneSided: 1.644854 }

/** Data and prior by inverse variance, so that readings take over without a jump. Normal in (ln C, ln rate). */
export const combined = (state: DecayState, prior: RatePrior): { state: DecayState; weight: number } => {
  // Student's t folded into the variance, so that few readings weigh little against the prior
  const widened = (state.oneSided / NORMAL.oneSided) ** 2
  const rateVariance = state.rateVariance * widened
  const covariance = state.covariance * widened
  const total = rateVariance + prior.sd ** 2
  const weight = prior.sd ** 2 / total
  const shift = prior.logRate - Math.log(state.rate)
  return {
    weight,
    state: {
      ...state,
      ...NORMAL,
      potency: state.potency * Math.exp((covariance / total) * shift),
      rate: state.rate * Math.exp((rateVariance / total) * shift),
      potencyVariance: state.potencyVariance * widened - covariance ** 2 / total,
      rateVariance: rateVariance * weight,
      covariance: covariance * weight,
    },
  }
}

/** No decay readings yet: the level is known from what came before, the rate from the prior alone. */
export const fromPriorAlone = (potency: number, potencyVariance: number, prior: RatePrior): DecayState => ({
  order: 1,
  potency,
  rate: Math.exp(prior.logRate),
  potencyVariance,
  rateVariance: prior.sd ** 2,
  covariance: 0,
  ...NORMAL,
})
