/**
 * Standard normal distribution function Φ(z), absolute error below 1e-7.
 * Abramowitz & Stegun, Handbook of Mathematical Functions (1964), 7.1.26, for erf.
 */
export const normalCdf = (z: number): number => {
  if (Math.abs(z) > 6) return z < 0 ? 0 : 1
  const x = Math.abs(z) / Math.SQRT2
  const t = 1 / (1 + 0.3275911 * x)
  const poly =
    t * (0.254829592 + t * (-0.284496736 + t * (1.421413741 + t * (-1.453152027 + t * 1.061405429))))
  const tail = (poly * Math.exp(-x * x)) / 2
  return z < 0 ? tail : 1 - tail
}
