import jStatPackage from 'jstat'

const { jStat } = jStatPackage

/** One batch: its value and that value's own standard error, on the scale that is pooled (usually logarithms). */
export interface Measured {
  readonly value: number
  readonly se: number
}

export interface RandomEffects {
  readonly n: number
  readonly mean: number
  readonly se: number
  /** Two-sided 95 % interval of the mean. */
  readonly ci95: readonly [number, number]
  /** Variance between batches beyond what each batch's own error explains. */
  readonly tau2: number
  /** Cochran's Q, its degrees of freedom n − 1, and how often chance alone gives more. */
  readonly q: number
  readonly qP: number
  /** Part of the variance that lies between batches, 0 to 1. */
  readonly i2: number
}

const MOST_STEPS = 1000
const SETTLED = 1e-12

/**
 * Random-effects mean, y_i = µ + u_i + e_i with var(u) = τ² and var(e_i) = se_i² known; τ² by restricted maximum likelihood
 * (fixed point of the REML equation: Viechtbauer, J. Educ. Behav. Stat. 30, 261 (2005), from memory). Interval after
 * Hartung & Knapp, Stat. Med. 20, 3875 (2001), from memory, never narrower than the classic standard error times t with
 * n − 1 degrees of freedom. Needs two batches with positive standard errors.
 */
export const randomEffects = (batches: readonly Measured[]): RandomEffects => {
  const n = batches.length
  if (n < 2) throw new RangeError(`a random-effects mean needs at least 2 batches, got ${n}`)
  if (batches.some((b) => !(b.se > 0)))
    throw new RangeError('a random-effects mean needs positive standard errors')
  const tau2 = remlTau2(batches)
  const { mean, total } = weighted(batches, tau2)
  const scaled = batches.reduce((s, b) => s + (b.value - mean) ** 2 / (b.se ** 2 + tau2), 0) / (n - 1)
  const se = Math.sqrt(Math.max(1, scaled) / total)
  const t = jStat.studentt.inv(0.975, n - 1)
  const q = cochranQ(batches)
  return {
    n,
    mean,
    se,
    ci95: [mean - t * se, mean + t * se],
    tau2,
    q,
    qP: 1 - jStat.chisquare.cdf(q, n - 1),
    i2: tau2 / (tau2 + typicalVariance(batches)),
  }
}

const weighted = (batches: readonly Measured[], tau2: number): { mean: number; total: number } => {
  let total = 0
  let sum = 0
  for (const { value, se } of batches) {
    const weight = 1 / (se ** 2 + tau2)
    total += weight
    sum += weight * value
  }
  return { mean: sum / total, total }
}

const remlTau2 = (batches: readonly Measured[]): number => {
  const { mean } = weighted(batches, 0)
  let tau2 = batches.reduce((s, b) => s + (b.value - mean) ** 2, 0) / (batches.length - 1)
  const scale = tau2
  for (let step = 0; step < MOST_STEPS; step++) {
    const next = remlStep(batches, tau2)
    if (Math.abs(next - tau2) <= SETTLED * scale) return next
    tau2 = next
  }
  return tau2
}

const remlStep = (batches: readonly Measured[], tau2: number): number => {
  const { mean, total } = weighted(batches, tau2)
  let above = 0
  let below = 0
  for (const { value, se } of batches) {
    const w2 = 1 / (se ** 2 + tau2) ** 2
    above += w2 * ((value - mean) ** 2 - se ** 2)
    below += w2
  }
  return Math.max(0, above / below + 1 / total)
}

const cochranQ = (batches: readonly Measured[]): number => {
  const { mean } = weighted(batches, 0)
  return batches.reduce((s, b) => s + (b.value - mean) ** 2 / b.se ** 2, 0)
}

/** Higgins & Thompson, Stat. Med. 21, 1539 (2002), eq. 9, from memory. */
const typicalVariance = (batches: readonly Measured[]): number => {
  const weights = batches.map((b) => 1 / b.se ** 2)
  const sum = weights.reduce((a, b) => a + b, 0)
  const squares = weights.reduce((a, b) => a + b * b, 0)
  return ((batches.length - 1) * sum) / (sum * sum - squares)
}
