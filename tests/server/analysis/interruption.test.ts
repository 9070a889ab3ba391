import { describe, expect, it } from 'vitest'
import { fitBatch } from '../../../server/analysis/fit-batch.ts'
import type { NoiseRecipe } from '../fit/random.ts'
import { type Stretch, syntheticBatch } from '../phase/synthetic-batch.ts'
import { START_US } from './batch-input.ts'

const mixed: NoiseRecipe = { sd: 0.2, correlationS: 20, white: 0.3 }

/** Kinds of the phases found, and the notes of the first about an interruption. Nothing was entered. */
const seen = (stretches: readonly Stretch[], seed: number) => {
  const { timesS, values } = syntheticBatch({ stretches, noise: mixed, seed: 17 * seed })
  const { results } = fitBatch({
    startUs: START_US,
    timesS,
    potencyMgPerL: values,
    events: [],
    nowS: timesS.length,
  })
  return {
    kinds: results.map((r) => r.kind).join(),
    notes: results[0]?.report.notes.filter((n) => n.startsWith('gas interrupted')) ?? [],
  }
}

const around = (kind: 'purge' | 'decay', afterS: number): Stretch[] => [
  { kind: 'idle', seconds: 60 },
  { kind: 'rise', seconds: afterS },
  { kind, seconds: 30 },
  { kind: 'rise', seconds: 600 - afterS },
  { kind: 'decay', seconds: 1200 },
]

const SEEDS = [1, 2, 3, 4, 5, 6, 7, 8, 9, 10]

describe('gas interrupted for half a minute that nobody entered', () => {
  it.each([
    { name: 'ozone off, oxygen on', stretches: around('purge', 300) },
    { name: 'flow off in the steep part', stretches: around('decay', 120) },
  ])('is a note on the one rise, no new batch: $name', ({ stretches }) => {
    const found = SEEDS.map((seed) => seen(stretches, seed))
    for (const { kinds } of found) expect(kinds).toBe('rise,decay')
    // measured: 20 of 20, and 20 of 20 of which one said 15 s
    expect(found.filter((f) => f.notes.length === 1).length).toBeGreaterThanOrEqual(9)
    const half = found.filter((f) =>
      f.notes[0]?.startsWith('gas interrupted for about 30 s, by the signal: '),
    )
    expect(half.length).toBeGreaterThanOrEqual(8)
  })

  it('is not seen in rises that went on', () => {
    const whole: Stretch[] = [
      { kind: 'idle', seconds: 60 },
      { kind: 'rise', seconds: 600 },
      { kind: 'decay', seconds: 1200 },
    ]
    for (let seed = 1; seed <= 40; seed++) expect(seen(whole, seed).notes).toEqual([])
  })
})
