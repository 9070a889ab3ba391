import { describe, expect, it } from 'vitest'
import { analyseBatch } from '../../../server/analysis/analyse-batch.ts'
import type { Analysis, Quantity } from '../../../server/analysis/schema.ts'
import { analysisSchema } from '../../../server/analysis/schema.ts'
import { batchInput, WHOLE, WITHOUT_PURGE } from './batch-input.ts'

const contains = (quantity: Quantity | undefined, truth: number): boolean =>
  quantity !== undefined && 'value' in quantity && quantity.ci95[0] <= truth && truth <= quantity.ci95[1]

const phase = <K extends Analysis['phases'][number]['kind']>(analysis: Analysis, kind: K) => {
  const found = analysis.phases.find((p) => p.kind === kind)
  if (found === undefined) throw new Error(`no ${kind}`)
  return found as Extract<Analysis['phases'][number], { kind: K }>
}

describe('a whole batch with its entries', () => {
  const analysis = analyseBatch(batchInput({ stretches: WHOLE, seed: 21 }))

  it('is a valid document', () => {
    expect(analysisSchema.parse(JSON.parse(JSON.stringify(analysis)))).toEqual(analysis)
  })

  it('states phases with UTC times, start inclusive and end exclusive', () => {
    expect(analysis.phases.map((p) => [p.kind, p.start, p.end, p.status])).toEqual([
      ['rise', '2026-03-04T14:01:00.000Z', '2026-03-04T14:11:00.000Z', 'fitted'],
      ['purge', '2026-03-04T14:11:00.000Z', '2026-03-04T14:12:00.000Z', 'fitted'],
      ['decay', '2026-03-04T14:12:00.000Z', '2026-03-04T14:42:00.000Z', 'fitted'],
    ])
  })

  it('holds the truth in its intervals', () => {
    const rise = phase(analysis, 'rise')
    expect(contains(rise.plateau_mg_l, 24)).toBe(true)
    expect(contains(rise.rate_per_min, 0.6)).toBe(true)
    // ln 20/0.6
    expect(contains(rise.t95_min, 4.9929)).toBe(true)
    expect(contains(phase(analysis, 'purge').rate_per_min, 0.5)).toBe(true)
    expect(contains(phase(analysis, 'decay').half_life_min, 30)).toBe(true)
  })

  it('reports that a minute of purge at 0.5 per min costs 39 %', () => {
    // 1 − e^(−0.5)
    const lost = phase(analysis, 'purge').lost_fraction
    if (lost === undefined || !('value' in lost)) throw new Error('no loss')
    expect(Math.abs(lost.value - 0.3935)).toBeLessThan(0.01)
  })

  it('counts far fewer independent readings than readings', () => {
    const decay = phase(analysis, 'decay')
    expect(decay.n).toBe(1800)
    expect(decay.n_eff).toBeGreaterThan(15)
    expect(decay.n_eff).toBeLessThan(200)
  })
})

describe('the purge', () => {
  it('leaves the half-life of what follows unbiased', () => {
    const values = [31, 32, 33, 34, 35, 36].map((seed) => {
      const decay = phase(analyseBatch(batchInput({ stretches: WHOLE, seed })), 'decay').half_life_min
      return decay !== undefined && 'value' in decay ? decay.value : Number.NaN
    })
    const mean = values.reduce((a, b) => a + b, 0) / values.length
    expect(Math.abs(mean / 30 - 1)).toBeLessThan(0.02)
  })
})

describe('a step at flow-off', () => {
  it('is reported and asked about, and stays out of the half-life', () => {
    const input = batchInput({ stretches: WITHOUT_PURGE, seed: 41 })
    const stepped = input.potencyMgPerL.map((v, i) => (i >= 660 ? 0.9 * v : v))
    const decay = phase(analyseBatch({ ...input, potencyMgPerL: stepped }), 'decay')
    expect(contains(decay.step_fraction, 0.1)).toBe(true)
    expect(decay.notes.join()).toContain('probe stirred?')
    expect(contains(decay.half_life_min, 30)).toBe(true)
  })

  it('is not asked about when there is none', () => {
    const decay = phase(analyseBatch(batchInput({ stretches: WITHOUT_PURGE, seed: 42 })), 'decay')
    const step = decay.step_fraction
    expect(step !== undefined && 'value' in step && Math.abs(step.value)).toBeLessThan(0.02)
    expect(decay.notes.join()).not.toContain('stirred')
  })
})

describe('gas that still flows', () => {
  it('is asked about when the fall after flow-off is far too fast', () => {
    const decay = phase(
      analyseBatch(batchInput({ stretches: WITHOUT_PURGE, halfLifeMin: 3, seed: 43 })),
      'decay',
    )
    expect(decay.notes.join()).toContain('gas still flowing?')
  })

  it('is not suspected of an ordinary decay', () => {
    const decay = phase(analyseBatch(batchInput({ stretches: WITHOUT_PURGE, seed: 44 })), 'decay')
    expect(decay.notes.join()).not.toContain('flowing')
  })
})

describe('two gas periods', () => {
  it('are two rises, the second from what was left', () => {
    const twice = [...WHOLE, { kind: 'rise', seconds: 600 }, { kind: 'decay', seconds: 900 }] as const
    const analysis = analyseBatch(batchInput({ stretches: twice, seed: 45 }))
    const rises = analysis.phases.filter((p) => p.kind === 'rise')
    expect(rises.length).toBe(2)
    // 24·(1 − e^−6)·e^−0.5 halved by 30 min of standing
    expect(contains(rises[1]?.start_mg_l, 7.26)).toBe(true)
  })
})

describe('an empty or silent record', () => {
  it('gives no phase and no number', () => {
    const empty = { ...batchInput({ stretches: [] }), events: [] }
    expect(analyseBatch(empty)).toMatchObject({ readings: 0, phases: [], verdicts: [] })
  })

  it('refuses phases that hold no reading', () => {
    const input = batchInput({ stretches: WHOLE })
    const silent = { ...input, potencyMgPerL: input.potencyMgPerL.map(() => Number.NaN) }
    const analysis = analyseBatch(silent)
    expect(analysis.readings).toBe(0)
    expect(analysis.phases.map((p) => [p.status, p.why])).toEqual([
      ['refused', 'too-few-readings'],
      ['refused', 'too-few-readings'],
      ['refused', 'too-few-readings'],
    ])
  })
})
