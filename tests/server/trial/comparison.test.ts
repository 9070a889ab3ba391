import { describe, expect, it } from 'vitest'
import { normalPlateau } from '../../../server/trial/compare-batch.ts'
import { comparison } from '../../../server/trial/comparison.ts'
import { temperatureShift } from '../../../server/trial/temperature-shift.ts'
import type { ComparisonPlan } from '../../../server/trial/trial.ts'
import { COMPARISON_PLAN } from '../../support/trial.ts'
import { facts, memberOf } from '../../support/trial-facts.ts'

/** The values of comparisons.test.ts: ratio 1.0191 (0.9904 to 1.0486), p 0.17; equivalent at 5 % with p 0.021, at 4 % not. */
const A = [31.2, 29.8, 30.5, 32.0, 30.9, 31.4]
const B = [29.9, 31.1, 30.2, 30.8, 29.6, 30.7]

type Change = (fluid: 'saline' | 'distilled') => Parameters<typeof facts>[2]

const found = (
  plan: Partial<ComparisonPlan>,
  halfLives: readonly [readonly number[], readonly number[]],
  change: Change = () => ({}),
  head: (fluid: 'saline' | 'distilled') => Parameters<typeof facts>[3] = () => ({}),
) => {
  const whole = { ...COMPARISON_PLAN, ...plan }
  const members = (['saline', 'distilled'] as const).flatMap((fluid, g) =>
    (halfLives[g] ?? []).map((halfLife, i) =>
      memberOf(
        whole,
        facts(
          10 * g + i + 1,
          { halfLife, plateau: (g === 0 ? A : B)[i] ?? 20 },
          { day: `2026-03-1${i % 3}`, ...change(fluid) },
          { fluid, lot: `L${i % 2}`, ...head(fluid) },
        ),
      ),
    ),
  )
  return comparison(whole, members)
}

describe('a comparison of fluids', () => {
  it('gives the ratio with its interval, and does not write "the same" where nothing was shown', () => {
    const { detail, answer, sentence } = found({ margin_percent: 4 }, [A, B])
    const life = detail.pairs.find((p) => p.measure === 'half-life')
    expect(life?.ratio).toBeCloseTo(1.019095569, 8)
    expect(life?.low).toBeCloseTo(0.9903880276, 7)
    expect(life?.answer).toBe('not-shown')
    expect(answer).toBe('not-shown')
    expect(sentence).toBe(
      'No difference shown, which does not mean that there is none: saline and distilled (levels off at), saline and distilled (half-life at 20 °C).',
    )
    expect(sentence).not.toMatch(/the same/i)
  })

  it('calls two fluids within the margin when the test for equivalence says so', () => {
    const { detail, answer } = found({ margin_percent: 5 }, [A, B])
    expect(detail.pairs.map((p) => p.answer)).toEqual(['equivalent', 'equivalent'])
    expect(detail.pairs[1]?.equivalence_p).toBeCloseTo(0.0210879558, 7)
    expect(answer).toBe('shown')
  })

  it('says how much longer one lasts, with p corrected over all pairs', () => {
    const longer = A.map((v) => 1.5 * v)
    const { detail, sentence } = found({ margin_percent: 5 }, [longer, B])
    const life = detail.pairs.find((p) => p.measure === 'half-life')
    expect(life?.answer).toBe('more')
    expect(life?.ratio).toBeCloseTo(1.5 * 1.019095569, 7)
    expect(sentence).toMatch(/saline lasts 1\.53 times \(1\.49 to 1\.57\) what distilled does/)
  })

  it('cannot tell fluid from bench or day when one made all of one fluid', () => {
    const benches = found({}, [A.map((v) => 2 * v), B], undefined, (fluid) => ({
      bench: fluid === 'saline' ? 'A' : 'B',
    }))
    expect(benches.answer).toBe('cannot-tell')
    expect(benches.sentence).toContain('no bench made batches of both')
    const days = found({ days: 1 }, [A, B], (fluid) => ({
      day: fluid === 'saline' ? '2026-03-01' : '2026-03-02',
    }))
    expect(days.sentence).toContain('no day has batches of both')
  })

  it('refuses plateaus measured against different references, and still compares half-lives', () => {
    const { detail } = found({ margin_percent: 5 }, [A, B], (fluid) => ({
      summary: {
        ...facts(1, {}, {}, { fluid }).summary,
        measured_against: [fluid === 'saline' ? 'indigo' : 'dpd'],
      },
    }))
    expect(detail.pairs.map((p) => p.answer)).toEqual(['cannot-tell', 'equivalent'])
    expect(detail.pairs[0]?.sentence).toContain('different references')
  })

  it('refuses plateaus far apart in temperature and widens those a few degrees apart', () => {
    const wide = { limits: { ...COMPARISON_PLAN.limits, temperature_low_c: 2, temperature_high_c: 30 } }
    const at = (celsius: number) =>
      found(wide, [A, B], (fluid) => ({ temperatureC: fluid === 'saline' ? celsius : 20 })).detail.pairs[0]
    expect(at(8)?.sentence).toContain('more than 10 °C apart')
    const [near, far] = [at(20), at(14)]
    expect(far?.warnings.join()).toContain('mean temperatures 6.0 °C apart')
    const width = (pair: typeof near) => Math.log((pair?.high ?? 1) / (pair?.low ?? 1))
    expect(width(far)).toBeGreaterThan(1.2 * width(near))
  })

  it('does the same with half-lives, which one activation energy brought to 20 °C', () => {
    const at = (celsius: number) =>
      found({}, [A, B], (fluid) => {
        const own = facts(1, {}, {}, { fluid })
        return { summary: { ...own.summary, mean_temperature_c: fluid === 'saline' ? celsius : 20 } }
      }).detail.pairs[1]
    expect(at(8)?.sentence).toContain('more than 10 °C apart')
    const width = (pair: ReturnType<typeof at>) => Math.log((pair?.high ?? 1) / (pair?.low ?? 1))
    // 45 to 80 kJ/mol over 4 K at 18 °C: half the range of the logarithm is 0.099, over √3 0.057
    const [near, far] = [at(20), at(16)]
    expect(far?.warnings.join()).toContain('mean temperatures 4.0 °C apart')
    expect(width(far)).toBeGreaterThan(width(near) + 0.1)
  })

  it('warns of one lot only, and of a probe that was calibrated in one of the fluids', () => {
    const { detail } = found(
      {},
      [A, B],
      () => ({ calibratedIn: ['distilled'] }),
      () => ({ lot: 'L1' }),
    )
    expect(detail.pairs[0]?.warnings).toEqual([
      'the probe was calibrated in distilled only',
      'saline: one lot only (L1); other lots may do otherwise',
      'distilled: one lot only (L1); other lots may do otherwise',
    ])
  })

  it('cannot be told from fewer batches than planned', () => {
    const { answer, sentence } = found({ batches: 7 }, [A, B])
    expect(answer).toBe('cannot-tell')
    expect(sentence).toContain('saline: 6 of 7 batches planned')
  })
})

describe('plateaus at another gas and temperature', () => {
  it('go in proportion to the gas', () => {
    const own = facts(1, { plateau: 20 }, { gasUgPerNml: 30 })
    expect(normalPlateau(own, COMPARISON_PLAN)?.value).toBeCloseTo(40, 8)
  })

  it('go with solubility: 20 to 5 °C by 1.70, the sources within a few per cent', () => {
    // Sander's values with NTP and vapour: 0.4423/0.2604 = 1.6985
    const { factor, u } = temperatureShift(20, 5, false)
    expect(factor).toBeCloseTo(1.6985, 2)
    expect(u).toBeGreaterThan(0.01)
    expect(u).toBeLessThan(0.1)
    expect(temperatureShift(20, 20, false)).toEqual({ factor: 1, u: 0 })
  })
})
