import { describe, expect, it } from 'vitest'
import { analyseBatch } from '../../../server/analysis/analyse-batch.ts'
import type { AnalysisInput } from '../../../server/analysis/input.ts'
import { batchInput, WHOLE, WITHOUT_PURGE } from './batch-input.ts'
import { decayOf, QUIET, riseOf, value } from './phase-of.ts'

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
