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
  /** Fluid temperature at a second; decay then runs by Arrhenius from the half-life at 20 °C. */
  readonly temperatureC?: (s: number) => number
  readonly energyKj?: number
  /** Reaction order of the decay; the half-life is that from 20 mg/L. */
  readonly order?: number
  readonly noise?: NoiseRecipe
  readonly seed?: number
}

/** A batch at 1 Hz, integrated in closed form second by second, so that it shares no code with the fits. */
export const syntheticBatch = (recipe: Recipe) => {
  const rates = {
    idle: 0,
    rise: (recipe.ratePerMin ?? 0.6) / 60,
    purge: (recipe.purgePerMin ?? 0.5) / 60,
    decay: startingRate(recipe) / 60,
  }
  const plateau = recipe.plateau ?? 24
  const order = recipe.order ?? 1
  const truth: number[] = []
  let c = recipe.startMgPerL ?? 0
  for (const stretch of recipe.stretches)
    for (let s = 0; s < stretch.seconds; s++) {
      const warmth =
        stretch.kind === 'decay' ? arrhenius(recipe.temperatureC?.(truth.length) ?? 20, recipe.energyKj) : 1
      truth.push(c)
      const target = stretch.kind === 'rise' ? plateau : 0
      const nth = stretch.kind === 'decay' ? (c / 20) ** (order - 1) : 1
      c = target + (c - target) * Math.exp(-rates[stretch.kind] * warmth * nth)
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

/** Rate at 20 mg/L and 20 °C, 1/min, that halves 20 mg/L in the half-life: (2^(n−1) − 1)/((n − 1)·t½). */
const startingRate = ({ order = 1, halfLifeMin = 30 }: Recipe): number =>
  (order === 1 ? Math.LN2 : (2 ** (order - 1) - 1) / (order - 1)) / halfLifeMin

const arrhenius = (celsius: number, energyKj = 65): number =>
  Math.exp(((-energyKj * 1000) / 8.314462618) * (1 / (celsius + 273.15) - 1 / 293.15))

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
