import { describe, expect, it } from 'vitest'
import { analyseBatch } from '../../../server/analysis/analyse-batch.ts'
import type { AnalysisInput } from '../../../server/analysis/input.ts'
import type { AnalysedDecay, AnalysedRise, Quantity } from '../../../server/analysis/schema.ts'
import { batchInput, WHOLE, WITHOUT_PURGE, withoutLag } from './batch-input.ts'

const riseOf = (input: AnalysisInput): AnalysedRise => {
  const rise = analyseBatch(input).phases.find((p) => p.kind === 'rise')
  if (rise === undefined) throw new Error('no rise')
  return rise
}

const decayOf = (input: AnalysisInput): AnalysedDecay => {
  const decay = analyseBatch(input).phases.find((p) => p.kind === 'decay')
  if (decay === undefined) throw new Error('no decay')
  return decay
}

const value = (quantity: Quantity | undefined): number =>
  quantity !== undefined && 'value' in quantity ? quantity.value : Number.NaN

const mean = (values: number[]): number => values.reduce((a, b) => a + b, 0) / values.length

const QUIET = { sd: 0.03, correlationS: 5, white: 0.5 }

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

describe('a zero offset of the meter', () => {
  it('is found on a long decay and kept out of the half-life', () => {
    const stretches = [
      { kind: 'rise', seconds: 600 },
      { kind: 'decay', seconds: 9000 },
    ] as const
    const input = batchInput({ stretches, seed: 19 })
    const decay = decayOf({ ...input, potencyMgPerL: input.potencyMgPerL.map((v) => v + 0.5) })
    expect(Math.abs(value(decay.half_life_min) / 30 - 1)).toBeLessThan(0.02)
    expect(decay.notes.join()).toContain('check the meter’s zero')
  })
})

describe('faults of the reading', () => {
  it('spikes and a jump of foam are listed and left out', () => {
    const input = batchInput({ stretches: WITHOUT_PURGE, seed: 22 })
    const potencyMgPerL = input.potencyMgPerL.map((v, i) => {
      if (i === 300 || i === 1000) return v + 6
      return i >= 1500 && i < 1530 ? v - 5 : v
    })
    const analysis = analyseBatch({ ...input, potencyMgPerL })
    expect(analysis.set_aside.filter((s) => s.why === 'spike').map((s) => s.time)).toEqual([
      '2026-03-04T14:05:00.000Z',
      '2026-03-04T14:16:40.000Z',
    ])
    expect(analysis.set_aside.find((s) => s.why === 'jump')).toMatchObject({ count: 30 })
    expect(Math.abs(value(decayOf({ ...input, potencyMgPerL }).half_life_min) / 30 - 1)).toBeLessThan(0.03)
  })

  it('a value repeated for minutes is set aside as repeated', () => {
    const input = batchInput({ stretches: WITHOUT_PURGE, seed: 23 })
    const stuck = input.potencyMgPerL[1200] ?? Number.NaN
    const potencyMgPerL = input.potencyMgPerL.map((v, i) => (i >= 1200 && i < 1500 ? stuck : v))
    const analysis = analyseBatch({ ...input, potencyMgPerL })
    expect(analysis.set_aside.find((s) => s.why === 'repeated')).toMatchObject({ count: 299 })
    expect(Math.abs(value(decayOf({ ...input, potencyMgPerL }).half_life_min) / 30 - 1)).toBeLessThan(0.03)
  })

  it('gaps are bridged, not filled', () => {
    const input = batchInput({ stretches: WHOLE, seed: 24 })
    const potencyMgPerL = input.potencyMgPerL.map((v, i) =>
      (i > 200 && i < 260) || (i > 1200 && i < 1700) ? Number.NaN : v,
    )
    const rise = riseOf({ ...input, potencyMgPerL })
    expect(Math.abs(value(rise.rate_per_min) / 0.6 - 1)).toBeLessThan(0.04)
    expect(Math.abs(value(decayOf({ ...input, potencyMgPerL }).half_life_min) / 30 - 1)).toBeLessThan(0.04)
  })

  it('a display that rounds to 0.1 changes nothing that matters', () => {
    const input = batchInput({ stretches: WHOLE, noise: QUIET, seed: 25 })
    const potencyMgPerL = input.potencyMgPerL.map((v) => Math.round(v * 10) / 10)
    expect(Math.abs(value(riseOf({ ...input, potencyMgPerL }).rate_per_min) / 0.6 - 1)).toBeLessThan(0.01)
    expect(Math.abs(value(decayOf({ ...input, potencyMgPerL }).half_life_min) / 30 - 1)).toBeLessThan(0.01)
  })

  it('values the gas cannot hold are named with their causes', () => {
    const input = batchInput(
      { stretches: WHOLE, seed: 26 },
      {
        expectation: {
          fluid: 'saline',
          volumeMl: 250,
          gas: { ugPerMl: 50, reference: 'normal-0c-101kpa' },
          flowMlPerMin: 250,
          temperatureC: 20,
        },
      },
    )
    const potencyMgPerL = input.potencyMgPerL.map((v, i) => (i === 900 ? 4184 : v))
    const analysis = analyseBatch({ ...input, potencyMgPerL })
    expect(analysis.notes.join()).toContain('1 readings above what the gas can hold (50 µg/mL): wrong unit')
    expect(analysis.set_aside).toContainEqual({ time: '2026-03-04T14:15:00.000Z', why: 'impossible' })
  })

  it('a probe lifted out makes no reading of the fluid', () => {
    const input = batchInput({ stretches: WITHOUT_PURGE, seed: 27 })
    const potencyMgPerL = input.potencyMgPerL.map((v, i) => (i >= 1500 && i < 1800 ? 0.02 : v))
    const events = [
      ...input.events,
      { kind: 'probe-out', atS: 1500 },
      { kind: 'probe-in', atS: 1800 },
    ] as const
    const decay = decayOf({ ...input, potencyMgPerL, events })
    expect(Math.abs(value(decay.half_life_min) / 30 - 1)).toBeLessThan(0.03)
  })

  it('a draw-up that steps the reading does not bend the half-life', () => {
    const input = batchInput({ stretches: WITHOUT_PURGE, seed: 28 })
    const potencyMgPerL = input.potencyMgPerL.map((v, i) =>
      i >= 1800 ? v - 1.5 * 2 ** (-(i - 1800) / 1800) : v,
    )
    const drawn = [...input.events, { kind: 'drawn-up', atS: 1800 }] as const
    const decay = decayOf({ ...input, potencyMgPerL, events: drawn })
    expect(Math.abs(value(decay.half_life_min) / 30 - 1)).toBeLessThan(0.04)
  })
})

describe('spot readings', () => {
  const spots = (minutes: readonly number[], extra: Partial<AnalysisInput> = {}): AnalysisInput => {
    const { temperature: _t, ...input } = batchInput({ stretches: WITHOUT_PURGE })
    const timesS = Float64Array.from(minutes, (m) => 660 + 60 * m)
    const potencyMgPerL = Float64Array.from(
      minutes,
      (m, i) => 23.9 * 2 ** (-m / 30) * (1 + 0.01 * (i % 2 ? -1 : 1)),
    )
    return { ...input, timesS, potencyMgPerL, readingUPercent: 3, ...extra }
  }

  it('a single one never yields a half-life', () => {
    const decay = decayOf(spots([5]))
    expect(decay).toMatchObject({ status: 'refused', why: 'too-few-readings' })
    expect(decay.half_life_min).toBeUndefined()
  })

  it('two give a half-life whose width comes from the method', () => {
    // ln(C1/C2) has u = 3 %·√2; over 25 min at k 0.0231 that is 7.3 % of k
    const decay = decayOf(spots([5, 30]))
    const life = decay.half_life_min
    if (life === undefined || !('value' in life)) throw new Error('no half-life')
    expect(life.se / life.value).toBeCloseTo(0.0734, 2)
  })

  it('five narrow it down, and their order of phases comes from entries alone', () => {
    const analysis = analyseBatch(spots([2, 8, 15, 25, 35]))
    expect(analysis.phases.map((p) => p.kind)).toEqual(['rise', 'decay'])
    const decay = analysis.phases[1]
    expect(decay?.kind === 'decay' && Math.abs(value(decay.half_life_min) / 30 - 1)).toBeLessThan(0.06)
  })
})
