/** A number with its standard uncertainty (coverage factor 1), both in the same unit. */
export interface Measured {
  readonly value: number
  readonly u: number
}

/** Relative standard uncertainty of a product or quotient of independent numbers. JCGM 100:2008, 5.1.6. */
export const relativeU = (...factors: readonly Measured[]): number =>
  Math.hypot(...factors.map(({ value, u }) => u / value))

/** Standard uncertainty of a sum of independent numbers, each times its coefficient. JCGM 100:2008, 5.1.2. */
export const sumU = (...terms: readonly (readonly [coefficient: number, u: number])[]): number =>
  Math.hypot(...terms.map(([c, u]) => c * u))
