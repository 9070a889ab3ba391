import { describe, expect, it } from 'vitest'
import { celsius } from '../../../ingest/units.ts'
import {
  combined,
  fromPriorAlone,
  priorFromExpectation,
  priorFromHistory,
} from '../../../server/forecast/rate-prior.ts'
import { type DecayState, timeToTarget } from '../../../server/forecast/time-to-target.ts'
import { type WarmingAhead, warmingAhead, warmingUnknown } from '../../../server/forecast/warming-ahead.ts'
import { arrheniusFactor } from '../../../server/model/arrhenius.ts'

const steady: WarmingAhead = {
  expected: { nowC: 20, roomC: 20, perMinute: 0 },
  fastest: { nowC: 20, roomC: 20, perMinute: 0 },
}

const certain = (potency: number, rate: number): DecayState => ({
  order: 1,
  potency,
  rate,
  potencyVariance: 0,
  rateVariance: 0,
  covariance: 0,
  twoSided: 1.959964,
  oneSided: 1.644854,
})

describe('time to target at a steady temperature', () => {
  it('is ln(C/target)/k', () => {
    expect(timeToTarget(certain(20, Math.LN2 / 30), 12, steady).expected).toBeCloseTo(22.109, 3)
  })

  it('has the standard error of the delta method with the full covariance', () => {
    // C0 20 (se 0.2), k 0.0231049 (se 0.001), corr +0.5, target 12: t 22.109, se 0.830 (computed independently);
    // without the covariance 1.050
    const k = 0.0231049
    const state = {
      ...certain(20, k),
      potencyVariance: 0.01 ** 2,
      rateVariance: (0.001 / k) ** 2,
      covariance: 0.5 * 0.01 * (0.001 / k),
    }
    const time = timeToTarget(state, 12, steady)
    expect((time.expected - time.early) / 1.644854).toBeCloseTo(0.83, 2)
    const blind = timeToTarget({ ...state, covariance: 0 }, 12, steady)
    expect((blind.expected - blind.early) / 1.644854).toBeCloseTo(1.05, 2)
  })

  it('follows orders 1.5 and 2 to the printed times', () => {
    // C0 20, half-life 30: to 5 mg/L 72.43 and 90.0 min; κ = (2^(n−1) − 1)/((n − 1)·30)
    const of = (order: 1.5 | 2) => ({ ...certain(20, (2 ** (order - 1) - 1) / ((order - 1) * 30)), order })
    expect(timeToTarget(of(1.5), 5, steady).expected).toBeCloseTo(72.43, 1)
    expect(timeToTarget(of(2), 5, steady).expected).toBeCloseTo(90, 6)
  })

  it('keeps early before expected and both inside the interval', () => {
    const state = { ...certain(20, 0.02), potencyVariance: 1e-4, rateVariance: 0.01 }
    const { early, expected, ci95 } = timeToTarget(state, 10, steady)
    expect(ci95[0]).toBeLessThan(early)
    expect(early).toBeLessThan(expected)
    expect(expected).toBeLessThan(ci95[1])
  })
})

describe('time to target of cold fluid in a warm room', () => {
  // 5 °C into 22 °C, warming constant 30 min, half-life 30 min at 20 °C, E_a 65: from 10 min on, 70 % of the start is
  // crossed at 32 min; a first-order forecast from the rate so far says 50 (computed independently)
  const temperature = (minutes: number) => 22 - 17 * Math.exp(-minutes / 30)
  const rateAt = (minutes: number) => (Math.LN2 / 30) * arrheniusFactor(celsius(temperature(minutes)), 65)
  const lost = (to: number) => {
    let sum = 0
    for (let t = 0; t < to; t += 0.01) sum += 0.01 * rateAt(t + 0.005)
    return sum
  }

  it('integrates the rate over the warming to come', () => {
    const state = certain(20 * Math.exp(-lost(10)), rateAt(10))
    const ahead = { nowC: temperature(10), roomC: 22, perMinute: 1 / 30 }
    const time = timeToTarget(state, 14, { expected: ahead, fastest: ahead })
    expect(10 + time.expected).toBeCloseTo(32, 0)
    const flat = { ...ahead, perMinute: 0 }
    expect(10 + timeToTarget(state, 14, { expected: flat, fastest: flat }).expected).toBeGreaterThan(40)
  })

  it('learns the warming from the thermometer', () => {
    const timesS = Float64Array.from({ length: 601 }, (_, i) => i)
    const course = { timesS, celsius: timesS.map((s) => Math.round(10 * temperature(s / 60)) / 10) }
    const { expected, fastest } = warmingAhead(course, 600, 22)
    expect(expected.nowC).toBeCloseTo(temperature(10), 1)
    expect(expected.perMinute).toBeGreaterThan(0.025)
    expect(fastest.perMinute).toBeGreaterThanOrEqual(expected.perMinute)
  })

  it('has an early bound that assumes warming when there is no thermometer', () => {
    const state = certain(20, Math.LN2 / 60)
    const { early, expected } = timeToTarget(state, 10, warmingUnknown(undefined, undefined))
    expect(expected).toBeCloseTo(60, 6)
    expect(early).toBeLessThan(45)
  })
})

describe('before and while readings arrive', () => {
  const prior = priorFromExpectation({ low: 15, central: 35, high: 90 })

  it('answers from the physics band alone', () => {
    const time = timeToTarget(fromPriorAlone(20, 0, prior), 10, steady)
    expect(time.expected).toBeCloseTo(35, 6)
    expect(time.early).toBeLessThan(15)
  })

  it('brings the clinic’s own half-life to the temperature now', () => {
    const history = priorFromHistory({ meanLog: Math.log(30), sdLog: 0.1 }, 8, 5)
    const halfLife = Math.LN2 / Math.exp(history.logRate)
    // 30 min at 20 °C is 83 to 174 min at 5 °C over E_a 46 to 79.5 (computed independently)
    expect(halfLife).toBeGreaterThan(83)
    expect(halfLife).toBeLessThan(174)
    expect(history.sd).toBeGreaterThan(priorFromHistory({ meanLog: Math.log(30), sdLog: 0.1 }, 8, 20).sd)
  })

  it('moves from prior to readings without a jump as the readings grow sure', () => {
    const rates = [1, 0.3, 0.1, 0.03, 0.01].map((se) => {
      const data = { ...certain(20, Math.LN2 / 20), rateVariance: se ** 2 }
      return combined(data, prior).state.rate
    })
    expect(rates[0]).toBeLessThan(rates[1] ?? 0)
    expect(rates.every((r, i) => i === 0 || r > (rates[i - 1] ?? 0))).toBe(true)
    expect(rates[4]).toBeCloseTo(Math.LN2 / 20, 3)
    expect(rates[0]).toBeGreaterThan(Math.LN2 / 35)
  })
})
