import { describe, expect, it } from 'vitest'
import { analyseBatch } from '../../../server/analysis/analyse-batch.ts'
import type { AnalysisInput, PastBatch } from '../../../server/analysis/input.ts'
import type { Verdict } from '../../../server/analysis/schema.ts'
import { verdictOf } from '../../../server/live/verdict-words.ts'
import { readRules } from '../../../server/model/rules-of-thumb.ts'
import { batchInput, WITHOUT_PURGE } from './batch-input.ts'

const gas = { ugPerMl: 60, reference: 'normal-0c-101kpa' } as const

/** 24 mg/L at 0.6 per min, then a half-life of 30 min, at 5 °C. */
const cold = (extra: Partial<AnalysisInput> = {}): AnalysisInput =>
  batchInput(
    {
      stretches: WITHOUT_PURGE,
      noise: { sd: 0.1, correlationS: 5, white: 0.5 },
      seed: 7,
      temperatureC: () => 5,
      // no change of rate with temperature: 30 min at 5 °C
      energyKj: 0,
    },
    {
      expectation: { fluid: 'saline', volumeMl: 250, gas, flowMlPerMin: 500, temperatureC: 5 },
      ...extra,
    },
  )

const verdictOn = (rule: string, input: AnalysisInput): Verdict | undefined =>
  analyseBatch(input).verdicts.find((v) => v.rule?.id === rule)

const past = (halfLives: readonly number[], more: Partial<PastBatch> = {}): PastBatch[] =>
  halfLives.map((halfLifeMin) => ({ fluid: 'saline', temperatureC: 22, gas, halfLifeMin, ...more }))

const withSingles = (singles: readonly PastBatch[]): AnalysisInput =>
  cold({ history: { batches: singles.length, singles } })

describe('a batch beside the rules of thumb', () => {
  it('is held against each that speaks about it, with the words and who says so', () => {
    const verdicts = analyseBatch(cold({ targetMgPerL: 15 })).verdicts.filter(
      (v) => v.against === 'rule-of-thumb',
    )
    expect(verdicts.map((v) => [v.rule?.id, v.outcome])).toEqual([
      ['flow', 'agrees'],
      ['plateau', 'agrees'],
      // 60 µg/NmL: a quarter is 15, and cold fluid holds far more
      ['quarter-of-gas', 'differs'],
      // t95 of 0.6 per min is 4.99 min
      ['prep-time', 'agrees'],
      ['colder-holds-more', 'cannot-tell'],
      ['filtered-holds-less', 'cannot-tell'],
      ['half-life', 'agrees'],
      // from 24 to 15 at a half-life of 30 min: 20.3 min
      ['refresh', 'agrees'],
      ['colder-lasts-longer', 'cannot-tell'],
      ['filtered-breaks-down-faster', 'cannot-tell'],
    ])
    for (const v of verdicts) expect(v.rule?.origin).toBe('common practice, no source')
  })

  it('says by how much and in which direction it differs, with causes in trade words', () => {
    const verdict = verdictOn('quarter-of-gas', cold())
    expect(verdict).toMatchObject({ direction: 'above', about: 'plateau_mg_l' })
    // 24 beside 15 + 20 %: 33 % above
    expect(verdict?.by_percent).toBeGreaterThan(28)
    expect(verdict?.by_percent).toBeLessThan(38)
    expect(verdict?.causes?.[0]).toBe('fluid colder than recorded')
    if (verdict)
      expect(verdictOf(verdict).text).toMatch(
        /^levels off at 2\d\.\d µg\/mL: 3\d % above “levels off at a quarter of the gas concentration” \(common practice, no source\), 12\.0 to 18\.0 µg\/mL\. Physics: right near 20 °C/,
      )
  })

  it('counts the time above the target for the rule of refreshing, and cannot without a target', () => {
    // from 24 to 15: 30·log2(24/15) = 20.34 min
    expect(verdictOn('refresh', cold({ targetMgPerL: 15 }))?.found).toBeCloseTo(20.34, 0)
    expect(verdictOn('refresh', cold({ targetMgPerL: 6 }))).toMatchObject({
      outcome: 'differs',
      direction: 'above',
    })
    expect(verdictOn('refresh', cold())).toMatchObject({ outcome: 'cannot-tell', why: 'target-not-set' })
  })

  it('holds a colder batch against the clinic’s warmer ones', () => {
    expect(verdictOn('colder-lasts-longer', withSingles(past([11, 12, 13, 12])))).toMatchObject({
      outcome: 'agrees',
    })
    expect(verdictOn('colder-lasts-longer', withSingles(past([61, 62, 63, 62])))).toMatchObject({
      outcome: 'differs',
      direction: 'below',
    })
    expect(verdictOn('colder-lasts-longer', withSingles(past([20, 30, 45])))).toMatchObject({
      outcome: 'cannot-tell',
      why: 'interval-too-wide',
    })
  })

  it('turns the rule round for a batch that is the warmer one', () => {
    const colderOnes = past([90, 95, 100], { temperatureC: -3 })
    expect(verdictOn('colder-lasts-longer', withSingles(colderOnes))).toMatchObject({ outcome: 'agrees' })
  })

  it('does not take batches at about the same temperature, or of another fluid, for warmer ones', () => {
    const near = past([11, 12, 13], { temperatureC: 8 })
    const other = past([11, 12, 13], { fluid: 'filtered' })
    expect(verdictOn('colder-lasts-longer', withSingles([...near, ...other]))).toMatchObject({
      outcome: 'cannot-tell',
      why: 'no-basis',
    })
  })

  it('compares fluids at one gas and temperature', () => {
    // 24 mg/L at 5 °C is 0.90 of the equilibrium of pure water (26.5); filtered batches reached half of theirs (15.6 at 20 °C)
    const filtered = [7.6, 7.8, 8.0].map((plateauMgPerL) => ({
      fluid: 'filtered' as const,
      temperatureC: 20,
      gas,
      plateauMgPerL,
    }))
    expect(verdictOn('filtered-holds-less', withSingles(filtered))).toMatchObject({
      outcome: 'agrees',
      about: 'plateau_over_equilibrium',
    })
    const full = filtered.map((b) => ({ ...b, plateauMgPerL: 2.1 * b.plateauMgPerL }))
    expect(verdictOn('filtered-holds-less', withSingles(full))).toMatchObject({ outcome: 'differs' })
  })

  it('is held against the clinic’s own entries in place of the shipped ones', () => {
    const read = readRules(
      'rules:\n  - { id: ours, kind: range, about: half_life_min, low: 40, high: 60, words: forty to sixty, origin: our log, fluids: [distilled] }\n',
    )
    const rulesOfThumb = read.ok ? read.rules : []
    expect(rulesOfThumb).toHaveLength(1)
    const thumbs = (input: AnalysisInput) =>
      analyseBatch(input).verdicts.filter((v) => v.against === 'rule-of-thumb')
    expect(thumbs(cold({ rulesOfThumb })), 'saline is not what the entry is about').toEqual([])
    const distilled = cold({ rulesOfThumb })
    const expectation = distilled.expectation && { ...distilled.expectation, fluid: 'distilled' as const }
    expect(thumbs({ ...distilled, ...(expectation ? { expectation } : {}) })).toMatchObject([
      { rule: { id: 'ours', origin: 'our log' }, outcome: 'differs', direction: 'below' },
    ])
  })
})
