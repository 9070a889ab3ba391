import { type NoiseRecipe, noiseOf } from '../fit/random.ts'

export interface Stretch {
  readonly kind: 'idle' | 'rise' | 'purge' | 'decay'
  readonly seconds: number
}

export interface Recipe {
  readonly stretches: readonly Stretch[]
  readonly plateau?: number
  readonly ratePerMin?: number
  readonly purgePerMin?: number
  readonly halfLifeMin?: number
  readonly startMgPerL?: number
  /** Probe time constant, s. */
  readonly lagS?: number
  readonly noise?: NoiseRecipe
  readonly seed?: number
}

/** A batch at 1 Hz, integrated in closed form second by second, so that it shares no code with the fits. */
export const syntheticBatch = (recipe: Recipe) => {
  const rates = {
    idle: 0,
    rise: (recipe.ratePerMin ?? 0.6) / 60,
    purge: (recipe.purgePerMin ?? 0.5) / 60,
    decay: Math.LN2 / ((recipe.halfLifeMin ?? 30) * 60),
  }
  const plateau = recipe.plateau ?? 24
  const truth: number[] = []
  let c = recipe.startMgPerL ?? 0
  for (const stretch of recipe.stretches)
    for (let s = 0; s < stretch.seconds; s++) {
      truth.push(c)
      const target = stretch.kind === 'rise' ? plateau : 0
      c = target + (c - target) * Math.exp(-rates[stretch.kind])
    }
  const seen = lagged(truth, recipe.lagS ?? 0)
  const noise = noiseOf(
    seen.length,
    recipe.noise ?? { sd: 0.1, correlationS: 15, white: 0.3 },
    recipe.seed ?? 1,
  )
  return {
    timesS: Float64Array.from(seen, (_, i) => i),
    values: Float64Array.from(seen, (v, i) => v + (noise[i] ?? 0)),
    truth,
  }
}

/** First-order probe, 200 substeps a second on the straight line between truths. */
const lagged = (truth: readonly number[], tauS: number): number[] => {
  if (tauS === 0) return [...truth]
  let probe = truth[0] ?? 0
  return truth.map((value, i) => {
    const now = probe
    const next = truth[i + 1] ?? value
    for (let k = 0; k < 200; k++) probe += (value + ((next - value) * (k + 0.5)) / 200 - probe) / (200 * tauS)
    return now
  })
}
