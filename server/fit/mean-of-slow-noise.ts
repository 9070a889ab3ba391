/**
 * How the mean over the readings of one bin hangs on slow noise x of unit variance and correlation e^(−|h|/τ), whose
 * state is its value at the last reading of the bin: mean = given·x₋ + e, x = kept·x₋ + w, x₋ the state of the bin before.
 */
export interface MeanOfSlowNoise {
  readonly kept: number
  readonly given: number
  /** Variance of e. */
  readonly own: number
  /** Covariance of e and w. */
  readonly shared: number
}

/**
 * Exact for `count` readings evenly `spacing` apart, the first `gap` after the last reading of the bin before (infinite:
 * there is none). A mean smooths: taken for one reading, it makes noise of 20 s look like 32 s in bins of 9 s, and
 * intervals 15 % too wide. Sums of a geometric series: Σψʲ and Σ(count − j)ψʲ. Any one unit of time; all positive.
 */
export const meanOfSlowNoise = (
  count: number,
  spacing: number,
  gap: number,
  correlationTime: number,
): MeanOfSlowNoise => {
  const before = Math.exp(-gap / correlationTime)
  if (count === 1) return alone(before)
  const lost = -Math.expm1(-spacing / correlationTime)
  const through = -Math.expm1((-count * spacing) / correlationTime)
  const step = 1 - lost
  // correlation of the mean with its last reading and, turned about, with its first
  const withEnd = through / (count * lost)
  const variance = ((2 - lost) / lost - (2 * step * through) / (count * lost * lost)) / count
  const kept = before * Math.exp((-(count - 1) * spacing) / correlationTime)
  const given = before * withEnd
  return { kept, given, own: Math.max(0, variance - given * given), shared: withEnd - given * kept }
}

const alone = (before: number): MeanOfSlowNoise => {
  const own = 1 - before * before
  return { kept: before, given: before, own, shared: own }
}

/** The step of readings that bins of `counts` readings about `times` were made of: the middle one; 1 for a single bin. */
export const spacingOf = (times: Float64Array, counts: Float64Array): number => {
  const n = times.length
  if (n < 2) return 1
  const steps = new Float64Array(n - 1)
  for (let i = 0; i < steps.length; i++)
    steps[i] =
      (2 * ((times[i + 1] as number) - (times[i] as number))) /
      ((counts[i] as number) + (counts[i + 1] as number))
  return steps.sort()[(n - 1) >> 1] as number
}
