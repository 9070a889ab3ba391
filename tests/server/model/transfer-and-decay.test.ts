import { describe, expect, it } from 'vitest'
import { celsius, perMinute } from '../../../ingest/units.ts'
import { arrheniusFactor, halfLifeAt } from '../../../server/model/arrhenius.ts'
import { type DecayOrder, decayed, rateForHalfLife, timeToReach } from '../../../server/model/decay-order.ts'
import {
  apparentRate,
  startingEfficiency,
  supplyLimit,
  transferCoefficient,
} from '../../../server/model/gas-depletion.ts'

/** Computed independently: V, Q, S, kLa, Q/(SV), k_app, efficiency at start. */
const rows = [
  [250, 500, 0.286, 0.5, 6.993, 0.4825, 0.069],
  [250, 125, 0.286, 0.5, 1.748, 0.4349, 0.249],
  [500, 125, 0.286, 0.5, 0.874, 0.3808, 0.436],
  [500, 125, 0.454, 0.5, 0.551, 0.3286, 0.597],
  [250, 250, 0.286, 1.0, 3.497, 0.8697, 0.249],
  [250, 250, 0.286, 3.0, 3.497, 2.014, 0.576],
  [500, 125, 0.454, 3.0, 0.551, 0.548, 0.996],
] as const

describe('gas depletion', () => {
  it.each(rows)('V %d mL, Q %d mL/min, S %d, kLa %d', (volumeMl, flowMlPerMin, s, kLa, limit, rate, part) => {
    const bubbling = { volumeMl, flowMlPerMin, solubilityRatio: s }
    expect(supplyLimit(bubbling)).toBeCloseTo(limit, 3)
    expect(apparentRate(perMinute(kLa), bubbling)).toBeCloseTo(rate, 3)
    expect(startingEfficiency(perMinute(kLa), bubbling)).toBeCloseTo(part, 3)
  })

  it('gives back the transfer coefficient, and none above the supply limit', () => {
    const bubbling = { volumeMl: 500, flowMlPerMin: 125, solubilityRatio: 0.454 }
    const rate = apparentRate(perMinute(0.5), bubbling)
    expect(transferCoefficient(rate, bubbling)).toBeCloseTo(0.5, 9)
    expect(transferCoefficient(perMinute(0.56), bubbling)).toBeUndefined()
  })

  it('agrees with gas integrated slice by slice up the flask', () => {
    // 13.4318 µg/mL/min: numerical slice integration, V 250, Q 250, S 0.286, kLa 1, gas 54 per mL at the bubble
    const bubbling = { volumeMl: 250, flowMlPerMin: 250, solubilityRatio: 0.286 }
    const slices = 20_000
    let gas = 54
    for (let i = 0; i < slices; i++) gas -= (1 / slices) * (250 / 250) * 0.286 * gas
    const uptake = (250 / 250) * (54 - gas)
    expect(apparentRate(perMinute(1), bubbling) * 0.286 * 54).toBeCloseTo(uptake, 3)
  })
})

describe('decay of order n', () => {
  /** C0 20, half-life 30 min: rate constant, C at 10, 20, 30, 45, 60, 90, 120 min, minutes to 15 and to 5. */
  const orders: [DecayOrder, number, string, number, number][] = [
    [1, 0.0231049, '15.87 12.60 10.00 7.07 5.00 2.50 1.25', 12.45, 60],
    [1.5, 0.0061747, '15.44 12.28 10.00 7.61 5.98 3.98 2.83', 11.2, 72.43],
    [2, 0.0016667, '15.00 12.00 10.00 8.00 6.67 5.00 4.00', 10, 90],
  ]
  it.each(orders)('order %d', (order, rate, course, to15, to5) => {
    expect(rateForHalfLife(order, 20, 30)).toBeCloseTo(rate, 7)
    const k = rateForHalfLife(order, 20, 30)
    const values = [10, 20, 30, 45, 60, 90, 120].map((t) => decayed(order, 20, k, t).toFixed(2))
    expect(values.join(' ')).toBe(course)
    expect(timeToReach(order, 20, k, 15)).toBeCloseTo(to15, 2)
    expect(timeToReach(order, 20, k, 5)).toBeCloseTo(to5, 2)
  })
})

describe('temperature of decay', () => {
  it.each([
    [46, '55', '83', '21.9'],
    [50, '60', '91', '21.3'],
    [60, '75', '113', '19.9'],
    [70, '94', '141', '18.5'],
    [79.5, '116', '174', '17.4'],
  ])('E_a %d kJ/mol: 5 °C and 25 °C from 20 °C', (energy, from20, from30, warm) => {
    expect(halfLifeAt(20, celsius(20), celsius(5), energy).toFixed(0)).toBe(from20)
    expect(halfLifeAt(30, celsius(20), celsius(5), energy).toFixed(0)).toBe(from30)
    expect(halfLifeAt(30, celsius(20), celsius(25), energy).toFixed(1)).toBe(warm)
  })

  it('brings 0.0231049 per min at 22 °C to the printed half-lives at 20 °C', () => {
    expect(halfLifeAt(30, celsius(22), celsius(20), 46.6).toFixed(1)).toBe('34.1')
    expect(halfLifeAt(30, celsius(22), celsius(20), 79.5).toFixed(1)).toBe('37.4')
    expect(arrheniusFactor(celsius(20), 65)).toBe(1)
  })
})
