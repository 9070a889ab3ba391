import { describe, expect, it } from 'vitest'
import { analyseBatch } from '../../../server/analysis/analyse-batch.ts'
import { batchInput, WHOLE, WITHOUT_PURGE, withoutLag } from './batch-input.ts'
import { decayOf, mean, QUIET, riseOf, value } from './phase-of.ts'

describe('a slow probe whose response is known', () => {
  it.each([30, 60])('of %d s leaves rate, t95 and half-life unbiased to 1 %%', (lagS) => {
    const inputs = [1, 2, 3, 4].map((seed) => batchInput({ stretches: WHOLE, lagS, noise: QUIET, seed }))
    const rises = inputs.map(riseOf)
    expect(Math.abs(mean(rises.map((r) => value(r.rate_per_min))) / 0.6 - 1)).toBeLessThan(0.01)
    expect(Math.abs(mean(rises.map((r) => value(r.t95_min))) / 4.9929 - 1)).toBeLessThan(0.01)
    const halfLives = inputs.map((input) => value(decayOf(input).half_life_min))
    expect(Math.abs(mean(halfLives) / 30 - 1)).toBeLessThan(0.01)
  })

  it('is taken out of the starting value of the decay', () => {
    // 24·(1 − e^−6) = 23.94 at flow-off; a probe of 60 s shows 23.94/(1 − kτ) = 25.9 for a half-life of 9 min
    const decay = decayOf(batchInput({ stretches: WITHOUT_PURGE, lagS: 60, halfLifeMin: 9, noise: QUIET }))
    expect(Math.abs(value(decay.start_mg_l) - 23.94)).toBeLessThan(0.15)
  })
})

describe('a slow probe nobody measured', () => {
  it.each([30, 60])('of %d s gives the rate as at least and t95 as at most, both true', (lagS) => {
    const rise = riseOf(withoutLag(batchInput({ stretches: WHOLE, lagS, seed: 5 })))
    expect(rise.status).toBe('bounded')
    expect(rise.rate_per_min).toMatchObject({ why: 'probe-lag-unknown' })
    const { rate_per_min: rate, t95_min: t95 } = rise
    if (rate === undefined || !('at_least' in rate) || t95 === undefined || !('at_most' in t95))
      throw new Error('no bounds')
    expect(rate.at_least).toBeLessThan(0.6)
    expect(rate.at_least).toBeGreaterThan(0.4)
    expect(t95.at_most).toBeGreaterThan(4.99)
    expect(value(rise.plateau_mg_l)).toBeCloseTo(24, 0)
  })

  it('is not suspected when the reading starts at once', () => {
    const rise = riseOf(withoutLag(batchInput({ stretches: WHOLE, seed: 6 })))
    expect(rise.status).toBe('fitted')
    expect(rise.notes).toContain('probe response not measured')
  })

  it('is not suspected of gas that is merely late by eight seconds', () => {
    const input = withoutLag(batchInput({ stretches: WHOLE, seed: 7, noise: QUIET }))
    const late = {
      ...input,
      events: input.events.map((e) => (e.kind === 'ozone-on' ? { ...e, atS: 52 } : e)),
    }
    expect(riseOf(late).status).toBe('fitted')
  })
})

describe('a meter that runs into its full scale', () => {
  it('makes the plateau a bound, and no clipped reading is averaged', () => {
    const input = batchInput({ stretches: WHOLE, seed: 8 })
    const clipped = {
      ...input,
      rangeMaxMgPerL: 20,
      potencyMgPerL: input.potencyMgPerL.map((v) => Math.min(20, v)),
    }
    const rise = riseOf(clipped)
    expect(rise.status).toBe('bounded')
    expect(rise.plateau_mg_l).toEqual({ at_least: 20, why: 'clipped' })
    const aside = analyseBatch(clipped).set_aside.filter((s) => s.why === 'clipped')
    const count = clipped.potencyMgPerL.filter((v) => v >= 20).length
    expect(aside.reduce((sum, s) => sum + (s.count ?? 1), 0)).toBe(count)
  })

  it('is recognised without a stated full scale', () => {
    const input = batchInput({ stretches: WHOLE, seed: 9 })
    const rise = riseOf({ ...input, potencyMgPerL: input.potencyMgPerL.map((v) => Math.min(20, v)) })
    expect(rise.plateau_mg_l).toEqual({ at_least: 20, why: 'clipped' })
  })

  it('leaves the half-life below it unbiased to 2 %', () => {
    const lives = [11, 12, 13, 14, 15, 16].map((seed) => {
      const input = batchInput({ stretches: WITHOUT_PURGE, seed })
      const potencyMgPerL = input.potencyMgPerL.map((v) => Math.min(18, v))
      return value(decayOf({ ...input, rangeMaxMgPerL: 18, potencyMgPerL }).half_life_min)
    })
    expect(Math.abs(mean(lives) / 30 - 1)).toBeLessThan(0.02)
  })
})

describe('a rise that was stopped early', () => {
  it.each([60, 100, 150])('after %d s gives only a lower bound of the plateau', (seconds) => {
    const stretches = [
      { kind: 'idle', seconds: 60 },
      { kind: 'rise', seconds },
    ] as const
    const rise = riseOf(batchInput({ stretches, seed: seconds }))
    expect(rise.status).toBe('bounded')
    const plateau = rise.plateau_mg_l
    if (plateau === undefined || !('at_least' in plateau)) throw new Error('no bound')
    expect(plateau.why).toBe('plateau-not-reached')
    expect(plateau.at_least).toBeLessThan(24)
    expect(plateau.at_least).toBeGreaterThan(5)
  })
})

describe('fluid that warms from 5 to 22 °C', () => {
  const warming = (s: number) => 22 - 17 * Math.exp(-s / 1800)
  it.each([50, 65, 80])(
    'gives the half-life at 20 °C when the activation energy is %d kJ/mol',
    (energyKj) => {
      const recipe = { stretches: WITHOUT_PURGE, temperatureC: warming, energyKj, seed: energyKj }
      const decay = decayOf(batchInput(recipe))
      const at20 = decay.half_life_20c_min
      if (at20 === undefined || !('value' in at20)) throw new Error('no half-life at 20 °C')
      expect(at20.ci95[0]).toBeLessThan(30)
      expect(at20.ci95[1]).toBeGreaterThan(30)
      expect(Math.abs(at20.value / 30 - 1)).toBeLessThan(0.05)
      expect(decay.notes.join()).toContain('compare batches by the one at 20 °C')
    },
  )
})

describe('reaction order', () => {
  const longDecay = [
    { kind: 'idle', seconds: 60 },
    { kind: 'rise', seconds: 600 },
    { kind: 'decay', seconds: 5400 },
  ] as const
  it.each([1, 1.5, 2])('%d is recognised on a long record', (order) => {
    expect(decayOf(batchInput({ stretches: longDecay, order, seed: 17 })).order).toBe(order)
  })

  it('other than 1 is never claimed inside one half-life', () => {
    const short = longDecay.map((s) => (s.kind === 'decay' ? { ...s, seconds: 1500 } : s))
    expect(decayOf(batchInput({ stretches: short, order: 2, noise: QUIET, seed: 18 })).order ?? 1).toBe(1)
  })
})
