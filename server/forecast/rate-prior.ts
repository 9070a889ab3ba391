import { celsius } from '../../ingest/units.ts'
import type { LogSpread } from '../analysis/input.ts'
import { tQuantiles } from '../fit/student-t.ts'
import { ACTIVATION_ENERGY, arrheniusFactor } from '../model/arrhenius.ts'

/** What is believed of ln(decay rate) before this batch's readings, at the temperature now. */
export interface RatePrior {
  readonly logRate: number
  readonly sd: number
  readonly basis: 'history' | 'expectation'
}

/** The clinic's own half-lives at 20 °C, brought to the temperature now; the activation energy widens it. */
export const priorFromHistory = (
  halfLife20c: LogSpread,
  batches: number,
  nowC: number | undefined,
): RatePrior => {
  const factor = (energy: number) =>
    nowC === undefined ? 0 : Math.log(arrheniusFactor(celsius(nowC), energy))
  const carried = (factor(ACTIVATION_ENERGY.high) - factor(ACTIVATION_ENERGY.low)) / Math.sqrt(12)
  // spread of the next batch about a mean known from few, by a spread known from few: prediction, not confidence
  const { worth = batches, degreesOfFreedom = batches - 1 } = halfLife20c
  const few = tQuantiles(Math.max(1, degreesOfFreedom)).oneSided / ONE_SIDED
  const spread = halfLife20c.sdLog * Math.sqrt(1 + 1 / Math.max(1, worth)) * few
  return {
    logRate: Math.log(Math.LN2) - halfLife20c.meanLog + factor(ACTIVATION_ENERGY.central),
    sd: Math.hypot(Math.max(spread, 0.05), carried),
    basis: 'history',
  }
}

const ONE_SIDED = 1.644854
/** The fastest decay published is not left outside the early bound: so many standard deviations to it, not 1.64. */
const TO_FASTEST = 1.5

/**
 * The physics band read as a central 90 % range of the logarithm, and widened until it reaches the fastest published
 * half-life: a countdown that starts on it must not outlast a fluid that somebody has seen.
 */
export const priorFromExpectation = (
  halfLife: { readonly low: number; readonly central: number; readonly high: number },
  fastest: number = Number.POSITIVE_INFINITY,
): RatePrior => ({
  logRate: Math.log(Math.LN2 / halfLife.central),
  sd: Math.max(
    Math.log(halfLife.high / halfLife.low) / (2 * ONE_SIDED),
    Math.log(halfLife.central / fastest) / TO_FASTEST,
  ),
  basis: 'expectation',
})
