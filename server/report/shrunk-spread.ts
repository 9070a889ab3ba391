import type { LogSpread } from '../analysis/input.ts'

/** Batches of one setting, as logarithms; `own`: the setting the next batch is made with. */
export interface Cell {
  readonly logs: readonly number[]
  readonly own: boolean
}

/** Fewer say nothing of the spread between them. */
const LEAST_BATCHES = 3
const LEAST_CELLS = 3

/**
 * What the next batch of one setting is expected to be, its own batches drawn towards those of the other settings: with spread s
 * within a setting (pooled) and τ between settings (DerSimonian and Laird, from memory), the mean is (n·x̄/s² + μ/τ²)/(n/s² + 1/τ²)
 * and known to 1/(n/s² + 1/τ²). `worth` is the number of batches that would know it as well. With fewer than three settings nothing is
 * known of τ: then its own batches alone, three at least. Undefined: too few.
 */
export const shrunkSpread = (cells: readonly Cell[]): LogSpread | undefined => {
  const filled = cells.filter((c) => c.logs.length > 0)
  const own = filled.filter((c) => c.own).flatMap((c) => c.logs)
  const degrees = filled.reduce((sum, c) => sum + c.logs.length - 1, 0)
  if (filled.length < LEAST_CELLS || degrees < LEAST_BATCHES - 1) return aloneOf(own)
  const within = filled.reduce((sum, c) => sum + squaresOf(c.logs), 0) / degrees
  if (!(within > 0)) return aloneOf(own)
  const means = filled.map((c) => ({ mean: meanOf(c.logs), weight: c.logs.length / within }))
  const between = betweenOf(means)
  const wide = together(means.map(({ mean, weight }) => ({ mean, weight: 1 / (1 / weight + between) })))
  // the mean of all settings is itself known to 1/weight only
  const prior = { mean: wide.mean, weight: 1 / (between + 1 / wide.weight) }
  const found =
    own.length === 0 ? prior : together([prior, { mean: meanOf(own), weight: own.length / within }])
  return {
    meanLog: found.mean,
    sdLog: Math.sqrt(within),
    worth: found.weight * within,
    degreesOfFreedom: degrees,
  }
}

const aloneOf = (logs: readonly number[]): LogSpread | undefined =>
  logs.length < LEAST_BATCHES
    ? undefined
    : {
        meanLog: meanOf(logs),
        sdLog: Math.sqrt(squaresOf(logs) / (logs.length - 1)),
        worth: logs.length,
        degreesOfFreedom: logs.length - 1,
      }

interface Weighed {
  readonly mean: number
  readonly weight: number
}

const together = (parts: readonly Weighed[]): Weighed => {
  const weight = parts.reduce((sum, p) => sum + p.weight, 0)
  return { mean: parts.reduce((sum, p) => sum + p.mean * p.weight, 0) / weight, weight }
}

/** τ² = max(0, (Q − (k − 1))/(Σw − Σw²/Σw)), Q = Σw(x̄ − μ)². */
const betweenOf = (means: readonly Weighed[]): number => {
  const { mean, weight } = together(means)
  const q = means.reduce((sum, m) => sum + m.weight * (m.mean - mean) ** 2, 0)
  const squares = means.reduce((sum, m) => sum + m.weight ** 2, 0)
  return Math.max(0, (q - (means.length - 1)) / (weight - squares / weight))
}

const meanOf = (values: readonly number[]): number => values.reduce((a, b) => a + b, 0) / values.length

const squaresOf = (values: readonly number[]): number => {
  const mean = meanOf(values)
  return values.reduce((sum, v) => sum + (v - mean) ** 2, 0)
}
