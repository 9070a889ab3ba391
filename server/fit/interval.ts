/** A value with its standard error and two-sided 95 % interval. */
export interface Interval {
  readonly value: number
  readonly se: number
  readonly ci95: readonly [number, number]
}

/** Symmetric interval value ± t·se: for concentrations. */
export const linearInterval = (value: number, se: number, t: number): Interval => ({
  value,
  se,
  ci95: [value - t * se, value + t * se],
})

/**
 * Interval symmetric in the logarithm, value·e^(±t·s): for rates, half-lives and times, which are positive and skewed.
 * `logSe` is the standard error of ln(value); the reported se is value·logSe.
 */
export const logInterval = (value: number, logSe: number, t: number): Interval => ({
  value,
  se: value * logSe,
  ci95: [value * Math.exp(-t * logSe), value * Math.exp(t * logSe)],
})
