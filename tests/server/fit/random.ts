/** Seeded random numbers for tests: mulberry32, public domain. */
export const randomFrom = (seed: number) => {
  let s = seed | 0
  const uniform = (): number => {
    s = (s + 0x6d2b79f5) | 0
    let t = Math.imul(s ^ (s >>> 15), 1 | s)
    t = (t + Math.imul(t ^ (t >>> 7), 61 | t)) ^ t
    return ((t ^ (t >>> 14)) >>> 0) / 4294967296
  }
  const normal = (): number =>
    Math.sqrt(-2 * Math.log(uniform() + 1e-300)) * Math.cos(2 * Math.PI * uniform())
  return { uniform, normal }
}

export interface NoiseRecipe {
  readonly sd: number
  /** Seconds; 0 for white noise only. */
  readonly correlationS: number
  /** White part of the variance. */
  readonly white: number
}

/** Noise at 1 Hz with an exponentially correlated and a white part. */
export const noiseOf = (n: number, recipe: NoiseRecipe, seed: number): Float64Array => {
  const { normal } = randomFrom(seed)
  const kept = recipe.correlationS === 0 ? 0 : Math.exp(-1 / recipe.correlationS)
  const white = recipe.correlationS === 0 ? 1 : recipe.white
  const out = new Float64Array(n)
  let slow = normal()
  for (let i = 0; i < n; i++) {
    if (i > 0) slow = kept * slow + Math.sqrt(1 - kept * kept) * normal()
    out[i] = recipe.sd * (Math.sqrt(1 - white) * slow + Math.sqrt(white) * normal())
  }
  return out
}
