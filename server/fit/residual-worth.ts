import { at } from './linear-algebra.ts'

/**
 * How many independent readings evenly spaced residuals are worth · n(1 − ρ)/(1 + ρ) with ρ their lag-1 correlation.
 * For comparing models on thinned data; intervals use the full noise model.
 */
export const worthOf = (residuals: Float64Array): number => {
  let lagged = 0
  let own = at(residuals, 0) ** 2
  for (let i = 1; i < residuals.length; i++) {
    lagged += (residuals[i] as number) * (residuals[i - 1] as number)
    own += (residuals[i] as number) ** 2
  }
  const rho = own === 0 ? 0 : Math.max(0, Math.min(0.95, lagged / own))
  return Math.max(1, (residuals.length * (1 - rho)) / (1 + rho))
}
