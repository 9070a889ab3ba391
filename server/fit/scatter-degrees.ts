import { at } from './linear-algebra.ts'
import type { NoiseShape } from './noise-likelihood.ts'

/** Up to so many lengths of it seen, the usual range of correlation times steadies slow noise. Counted, not derived. */
const STEADIED = 12

/**
 * Degrees of freedom for Student's t: how well the scatter that matters is known, 2/var(ln s²) (Satterthwaite, Biometrics
 * Bull. 2, 110 (1946)). Mixed noise may be worth many readings while the slow part, which alone decides the interval, was
 * seen only span/(2τ) times; and of that its power 2τσ² is known half as well as a variance, as τ and σ² are found
 * together: var(ln 2τσ²) = 4/seen for AR(1), by the delta method. For `times` of bins and p parameters; at least 1.
 */
export const scatterDegrees = (times: Float64Array, noise: NoiseShape, p: number): number => {
  const n = times.length
  const span = at(times, n - 1) - at(times, 0)
  const slowPower = 2 * noise.correlationTime * (1 - noise.whiteShare)
  const slowPart = slowPower / (slowPower + (noise.whiteShare * span) / n)
  const slowSeen = Math.max(1, Math.min(n, 1 + span / (2 * noise.correlationTime)) - p)
  const slowDegrees = Math.max(slowSeen / 2, Math.min(slowSeen, STEADIED))
  return Math.max(1, 1 / (slowPart ** 2 / slowDegrees + (1 - slowPart) ** 2 / Math.max(1, n - p)))
}
