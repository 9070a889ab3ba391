import { type PerMinute, perMinute } from '../../ingest/units.ts'

export interface Bubbling {
  readonly volumeMl: number
  readonly flowMlPerMin: number
  /** Solubility ratio S at the fluid's temperature, salting-out included. */
  readonly solubilityRatio: number
}

/**
 * Fastest possible transfer rate, 1/min · Q/(S·V): gas that leaves the bubbler spent. A fitted rate above this plus
 * the decay rate is impossible and points to a wrong flow unit, a wrong volume or a probe artefact.
 */
export const supplyLimit = (bubbling: Bubbling): PerMinute =>
  perMinute(bubbling.flowMlPerMin / (bubbling.solubilityRatio * bubbling.volumeMl))

/**
 * Apparent transfer rate while bubbles lose ozone on their way up, 1/min · k_app = (Q/(S·V))·(1 − e^(−φ)),
 * φ = kLa·S·V/Q. Plug-flow gas through well-mixed liquid, dC/dt = k_app(C* − C); kLa per liquid volume in 1/min.
 */
export const apparentRate = (kLa: PerMinute, bubbling: Bubbling): PerMinute => {
  const limit = supplyLimit(bubbling)
  return perMinute(-limit * Math.expm1(-kLa / limit))
}

/** kLa from an apparent rate: the inverse of `apparentRate`; undefined at or above the supply limit. */
export const transferCoefficient = (apparent: PerMinute, bubbling: Bubbling): PerMinute | undefined => {
  const limit = supplyLimit(bubbling)
  return apparent >= limit ? undefined : perMinute(-limit * Math.log1p(-apparent / limit))
}

/** Part of the feed ozone that dissolves at the start, 0 to 1 · 1 − e^(−φ). */
export const startingEfficiency = (kLa: PerMinute, bubbling: Bubbling): number =>
  -Math.expm1(-kLa / supplyLimit(bubbling))
