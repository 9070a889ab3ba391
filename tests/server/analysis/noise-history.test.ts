import { describe, expect, it } from 'vitest'
import type { AnalysisInput, NoiseHistory } from '../../../server/analysis/input.ts'
import { liveEstimate } from '../../../server/analysis/live.ts'
import type { NoiseRecipe } from '../fit/random.ts'
import { type Recipe, syntheticBatch } from '../phase/synthetic-batch.ts'
import { batchInput, WHOLE } from './batch-input.ts'

const ar1: NoiseRecipe = { sd: 0.2, correlationS: 20, white: 0 }
const mixed: NoiseRecipe = { sd: 0.2, correlationS: 20, white: 0.3 }
const mostlyWhite: NoiseRecipe = { sd: 0.1, correlationS: 15, white: 0.6 }

const median = (values: readonly number[]): number =>
  [...values].sort((a, b) => a - b)[values.length >> 1] ?? Number.NaN

const until = (input: AnalysisInput, s: number): AnalysisInput => ({
  ...input,
  timesS: input.timesS.subarray(0, s),
  potencyMgPerL: input.potencyMgPerL.subarray(0, s),
  events: input.events.filter((e) => e.atS <= s),
  nowS: s,
})

const historyOf = (noise: NoiseRecipe): NoiseHistory => ({
  sdMgPerL: noise.sd,
  correlationTimeS: noise.correlationS,
  whiteFraction: noise.white,
})

describe('the noise a batch shows', () => {
  // a decay of 30 min holds 45 spans of 2τ: one batch knows the variance to about 20 %, the correlation time to a factor
  it.each([
    { name: 'AR(1) of 20 s', noise: ar1 },
    { name: 'slow and white', noise: mixed },
    { name: 'mostly white', noise: mostlyWhite },
  ])('is that of the meter, in the median of fifteen batches: $name', ({ noise }) => {
    const seen = Array.from({ length: 15 }, (_, i) =>
      liveEstimate(batchInput({ stretches: WHOLE, noise, seed: 31 * (i + 1) })),
    ).flatMap((live) => (live.noise === undefined ? [] : [live.noise]))
    expect(seen.length).toBe(15)
    expect(Math.abs(median(seen.map((s) => s.sdMgPerL)) / noise.sd - 1)).toBeLessThan(0.1)
    expect(Math.abs(Math.log(median(seen.map((s) => s.correlationTimeS)) / noise.correlationS))).toBeLessThan(
      Math.log(1.7),
    )
    expect(Math.abs(median(seen.map((s) => s.whiteFraction)) - noise.white)).toBeLessThan(0.06)
    // and no single batch is far off
    for (const { sdMgPerL, whiteFraction } of seen) {
      expect(Math.abs(sdMgPerL / noise.sd - 1)).toBeLessThan(0.4)
      expect(Math.abs(whiteFraction - noise.white)).toBeLessThan(0.2)
    }
  })

  it('is not told by a minute of a rise', () => {
    const input = until(batchInput({ stretches: WHOLE, noise: mixed, seed: 5 }), 120)
    expect(liveEstimate(input).noise).toBeUndefined()
  })
})

const REPLICATES = 100
const LOOKS_S = [60, 120, 180]

const firstMinutes = (noise: NoiseRecipe) => {
  const looks = { held: 0, heldBare: 0, count: 0, widths: [] as number[], bareWidths: [] as number[] }
  for (let seed = 1; seed <= REPLICATES; seed++) {
    const recipe: Recipe = { stretches: WHOLE, noise, seed: 17 * seed }
    const { truth } = syntheticBatch(recipe)
    const bare = batchInput(recipe)
    for (const look of LOOKS_S) {
      const s = 60 + look
      const known = liveEstimate({ ...until(bare, s), noiseHistory: historyOf(noise) }).potency
      const without = liveEstimate(until(bare, s)).potency
      if (known.kind === 'none' || without.kind === 'none') throw new Error('no potency')
      const isIn = ([low, high]: readonly [number, number]) =>
        low <= (truth[s] ?? Number.NaN) && (truth[s] ?? Number.NaN) <= high
      looks.count++
      if (isIn(known.ci95)) looks.held++
      if (isIn(without.ci95)) looks.heldBare++
      looks.widths.push(known.ci95[1] - known.ci95[0])
      looks.bareWidths.push(without.ci95[1] - without.ci95[0])
    }
  }
  return looks
}

describe('the band of the first three minutes with the meter’s history', () => {
  it.each([
    { name: 'AR(1) of 20 s', noise: ar1 },
    { name: 'slow and white', noise: mixed },
  ])('holds the truth as often as it says, and is several times narrower: $name', ({ noise }) => {
    const { held, count, widths, bareWidths } = firstMinutes(noise)
    // three looks at a hundred batches; of 300 independent ones at 95 %, fewer than 91 % or more than 98.4 %: 3 in 1000
    expect((100 * held) / count).toBeGreaterThanOrEqual(91)
    expect((100 * held) / count).toBeLessThanOrEqual(98.4)
    expect(median(bareWidths) / median(widths)).toBeGreaterThan(3)
  })

  it('does not jump when the record takes over from the history', () => {
    let worst = 1
    let furthest = 0
    let tookOver = 0
    for (let seed = 1; seed <= 12; seed++) {
      const recipe: Recipe = { stretches: WHOLE, noise: mixed, seed: 400 + seed }
      const input = batchInput(recipe, { noiseHistory: historyOf(mixed) })
      const looks = Array.from({ length: 76 }, (_, i) => liveEstimate(until(input, 200 + 5 * i)))
      looks.slice(1).forEach((now, i) => {
        const before = looks[i]
        if (before === undefined || now.potency.kind === 'none' || before.potency.kind === 'none')
          throw new Error('no potency')
        if (fromHistory(before) === fromHistory(now)) return
        tookOver++
        const width = ({ ci95 }: { readonly ci95: readonly [number, number] }) => ci95[1] - ci95[0]
        const ratio = width(now.potency) / width(before.potency)
        worst = Math.max(worst, ratio, 1 / ratio)
        furthest = Math.max(
          furthest,
          Math.abs(now.potency.mgPerL - before.potency.mgPerL) / width(before.potency),
        )
      })
    }
    expect(tookOver).toBeGreaterThanOrEqual(12)
    // Student's t at five degrees of freedom is 1.31 times the normal quantile; the rest is the record's own noise
    expect(worst).toBeLessThan(2)
    expect(furthest).toBeLessThan(0.5)
  })

  it('is widened when the record scatters more than the history said', () => {
    const recipe: Recipe = { stretches: WHOLE, noise: { ...mixed, sd: 0.8 }, seed: 9 }
    const input = until(batchInput(recipe), 180)
    const width = (history: NoiseHistory) => {
      const { potency } = liveEstimate({ ...input, noiseHistory: history })
      return potency.kind === 'none' ? Number.NaN : potency.ci95[1] - potency.ci95[0]
    }
    expect(width(historyOf(mixed)) / width(historyOf({ ...mixed, sd: 0.8 }))).toBeGreaterThan(0.5)
  })
})

const fromHistory = ({ analysis }: ReturnType<typeof liveEstimate>): boolean =>
  analysis.phases.some((p) => p.notes.some((n) => n.includes('noise taken from this instrument’s history')))
