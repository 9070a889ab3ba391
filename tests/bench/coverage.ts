import { fitDecay } from '../../server/fit/decay-fit.ts'
import { at } from '../../server/fit/linear-algebra.ts'
import { fitSaturation } from '../../server/fit/saturation-fit.ts'
import { type NoiseRecipe, noiseOf } from '../server/fit/random.ts'
import { printTable } from './table.ts'

/** A situation in which the 95 % interval of a rate should hold the truth 95 times in 100. */
export interface CoverageCase {
  readonly name: string
  readonly kind: 'rise' | 'decay'
  readonly minutes: number
  readonly noise: NoiseRecipe
  /** Known probe time constant, s. */
  readonly lagS?: number
  /** Part of the readings that are spikes. */
  readonly spikes?: number
  /** Part of the record that is missing, in the middle. */
  readonly gap?: number
  /** Step of the display. */
  readonly rounding?: number
}

export interface Coverage {
  readonly name: string
  readonly replicates: number
  readonly refused: number
  /** Percent of intervals that held the truth. */
  readonly covered: number
  /** The same for white-noise standard errors, as a textbook solver gives them. */
  readonly naive: number
  /** Mean standard error over the scatter of the estimates. */
  readonly seOverScatter: number
  readonly biasPercent: number
  readonly effectiveReadings: number
}

const RISE_RATE = 0.6
const DECAY_RATE = Math.LN2 / 30
const white = { sd: 0.2, correlationS: 0, white: 1 }
const slow = { sd: 0.2, correlationS: 20, white: 0 }
const mixed = { sd: 0.2, correlationS: 20, white: 0.3 }

export const coverageCases: readonly CoverageCase[] = [
  ...(['rise', 'decay'] as const).flatMap((kind) =>
    (kind === 'rise' ? [5, 10, 20] : [10, 30, 90]).flatMap((minutes) => [
      { name: `${kind} ${minutes} min, white`, kind, minutes, noise: white },
      { name: `${kind} ${minutes} min, AR(1) 20 s`, kind, minutes, noise: slow },
      { name: `${kind} ${minutes} min, mixed`, kind, minutes, noise: mixed },
    ]),
  ),
  { name: 'rise 20 min, mixed, lag 30 s', kind: 'rise', minutes: 20, noise: mixed, lagS: 30 },
  { name: 'rise 20 min, mixed, lag 60 s', kind: 'rise', minutes: 20, noise: mixed, lagS: 60 },
  { name: 'rise 20 min, mixed, 2 % spikes', kind: 'rise', minutes: 20, noise: mixed, spikes: 0.02 },
  { name: 'decay 30 min, mixed, 2 % spikes', kind: 'decay', minutes: 30, noise: mixed, spikes: 0.02 },
  { name: 'rise 20 min, mixed, 20 % gap', kind: 'rise', minutes: 20, noise: mixed, gap: 0.2 },
  { name: 'decay 30 min, mixed, 30 % gap', kind: 'decay', minutes: 30, noise: mixed, gap: 0.3 },
  { name: 'decay 30 min, mixed, rounded to 0.1', kind: 'decay', minutes: 30, noise: mixed, rounding: 0.1 },
]

/** Counts how often the interval of the rate holds the truth. */
export const coverageOf = (situation: CoverageCase, replicates: number): Coverage => {
  const truth = Math.log(situation.kind === 'rise' ? RISE_RATE : DECAY_RATE)
  const estimates: number[] = []
  let held = 0
  let heldNaively = 0
  let seSum = 0
  let worth = 0
  for (let seed = 1; seed <= replicates; seed++) {
    const fit = fitOnce(situation, seed)
    if (fit.kind === 'refused') continue
    const { whiteNoise } = fit.curve
    const se = Math.sqrt(at(fit.covariance, fit.covariance.length - 1))
    const naive = Math.sqrt(at(whiteNoise.covariance, whiteNoise.covariance.length - 1))
    estimates.push(Math.log(fit.rate))
    if (Math.abs(Math.log(fit.rate) - truth) <= fit.t * se) held++
    if (Math.abs(Math.log(whiteNoise.rate) - truth) <= 1.96 * naive) heldNaively++
    seSum += se
    worth += fit.curve.effectiveReadings
  }
  const n = estimates.length
  const mean = estimates.reduce((a, b) => a + b, 0) / n
  const scatter = Math.sqrt(estimates.reduce((a, b) => a + (b - mean) ** 2, 0) / (n - 1))
  return {
    name: situation.name,
    replicates,
    refused: replicates - n,
    covered: (100 * held) / n,
    naive: (100 * heldNaively) / n,
    seOverScatter: seSum / n / scatter,
    biasPercent: 100 * (mean - truth),
    effectiveReadings: worth / n,
  }
}

const fitOnce = (situation: CoverageCase, seed: number) => {
  const n = situation.minutes * 60
  const noise = noiseOf(n, situation.noise, 7919 * seed)
  const kept = Array.from({ length: n }, (_, i) => i).filter((i) => !isMissing(situation, i / n))
  const times = Float64Array.from(kept, (i) => (i + 0.5) / 60)
  const values = Float64Array.from(kept, (i, j) => reading(situation, at(times, j), at(noise, i), i, seed))
  if (situation.kind === 'decay') return fitDecay({ times, values, order: 1 })
  const lag = situation.lagS === undefined ? {} : { lag: { tau: situation.lagS / 60, u: 0 } }
  return fitSaturation({ times, values, ...lag })
}

const isMissing = ({ gap = 0 }: CoverageCase, part: number): boolean => Math.abs(part - 0.5) < gap / 2

const reading = (situation: CoverageCase, t: number, noise: number, i: number, seed: number): number => {
  const { spikes = 0, rounding = 0 } = situation
  const isSpike = spikes > 0 && (i * 7 + seed * 13) % Math.round(1 / spikes) === 0
  const value = truthAt(situation, t) + noise + (isSpike ? 4 : 0)
  return rounding > 0 ? Math.round(value / rounding) * rounding : value
}

const truthAt = ({ kind, lagS }: CoverageCase, t: number): number => {
  if (kind === 'decay') return 24 * Math.exp(-DECAY_RATE * t)
  if (lagS === undefined) return 24 * (1 - Math.exp(-RISE_RATE * t))
  const q = 60 / lagS
  return 24 * (1 - (q * Math.exp(-RISE_RATE * t) - RISE_RATE * Math.exp(-q * t)) / (q - RISE_RATE))
}

/** Runs every case and prints the table. About a millisecond a replicate. */
export const printCoverage = (replicates = 1000): void => {
  console.log(`rate intervals: ${replicates} batches a row, seeds 1 to ${replicates}`)
  const head = ['situation', 'covered %', 'naive %', 'se/scatter', 'bias %', 'n_eff', 'refused']
  const rows = coverageCases.map((situation) => {
    const c = coverageOf(situation, replicates)
    return [
      c.name,
      c.covered.toFixed(1),
      c.naive.toFixed(1),
      c.seOverScatter.toFixed(2),
      c.biasPercent.toFixed(2),
      c.effectiveReadings.toFixed(0),
      String(c.refused),
    ]
  })
  printTable(head, rows)
}
