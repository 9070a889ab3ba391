import { describe, expect, it } from 'vitest'
import { celsius } from '../../../ingest/units.ts'
import type { DecayState } from '../../../server/forecast/decay-state.ts'
import { normalCdf } from '../../../server/forecast/normal.ts'
import { priorFromExpectation, priorFromHistory } from '../../../server/forecast/rate-prior.ts'
import { timeToTarget } from '../../../server/forecast/time-to-target.ts'
import { type WarmingAhead, warmingAhead, warmingUnknown } from '../../../server/forecast/warming-ahead.ts'
import { arrheniusFactor } from '../../../server/model/arrhenius.ts'

const steady: WarmingAhead = {
  expected: { nowC: 20, roomC: 20, perMinute: 0 },
  fastest: { nowC: 20, roomC: 20, perMinute: 0 },
}

const certain = (potency: number, rate: number): DecayState => ({
  order: 1,
  potency,
  potencyVariance: 0,
  seen: { rate, rateSe: 0, covariance: 0, degreesOfFreedom: Number.POSITIVE_INFINITY },
})

/** Standard errors: of ln C, of the rate per minute, and their correlation. */
const known = (
  potency: number,
  rate: number,
  logSe: number,
  rateSe: number,
  correlation = 0,
): DecayState => ({
  order: 1,
  potency,
  potencyVariance: logSe ** 2,
  seen: {
    rate,
    rateSe,
    covariance: correlation * logSe * rateSe,
    degreesOfFreedom: Number.POSITIVE_INFINITY,
  },
})

describe('time to target at a steady temperature', () => {
  it('is ln(C/target)/k', () => {
    expect(timeToTarget(certain(20, Math.LN2 / 30), 12, steady).expected).toBeCloseTo(22.109, 2)
  })

  it('has, where errors are small, the standard error of the delta method with the full covariance', () => {
    // C0 20 (se 0.2), k 0.0231049 (se 0.001), corr +0.5, target 12: t 22.109, se 0.830 (computed independently);
    // without the covariance 1.050. All errors a tenth of that
    const se = (correlation: number) => {
      const time = timeToTarget(known(20, 0.0231049, 0.001, 0.0001, correlation), 12, steady)
      return (10 * (time.expected - time.early)) / 1.644854
    }
    expect(Math.abs(se(0.5) - 0.83)).toBeLessThan(0.01)
    expect(Math.abs(se(0) - 1.05)).toBeLessThan(0.01)
  })

  it('has Fieller’s early bound where they are large: the potency that 95 % allow then is the target', () => {
    // ln(20/10) = 0.6931, k 0.02 ± 0.004: ln 2/(0.02 + 1.644854·0.004) = 26.08 min; the delta method would say 23.26
    const { early } = timeToTarget(known(20, 0.02, 0, 0.004), 10, steady)
    expect(early).toBeCloseTo(26.08, 1)
    // with ln C ± 0.03, correlation −0.6: root of 0.6931 − 0.02 t = 1.644854·√(0.03² + 0.004² t² + 2·0.6·0.03·0.004 t),
    // t = 24.814 (scipy brentq)
    const both = timeToTarget(known(20, 0.02, 0.03, 0.004, -0.6), 10, steady)
    expect(Math.abs(both.early - 24.814)).toBeLessThan(0.1)
  })

  it('is earlier when few readings leave few degrees of freedom', () => {
    const state = known(20, 0.02, 0, 0.004)
    const early = (degreesOfFreedom: number) =>
      timeToTarget(
        { ...state, seen: { rate: 0.02, rateSe: 0.004, covariance: 0, degreesOfFreedom } },
        10,
        steady,
      ).early
    // Student's t at 3 degrees of freedom: 2.353 (from memory): ln 2/(0.02 + 2.353·0.004) = 23.56; k > 0 cuts a little
    expect(Math.abs(early(3) - 23.56)).toBeLessThan(0.4)
    expect(early(3)).toBeLessThan(early(30))
  })

  it('still bounds a decay whose readings show no fall at all', () => {
    const { early, expected } = timeToTarget(
      { ...known(20, -0.002, 0, 0.01), prior: priorFromExpectation({ low: 8, central: 30, high: 360 }) },
      10,
      steady,
    )
    // 95 % of −0.002 ± 0.01 lies below 0.0145: 48 min; the prior may only bring it forward
    expect(early).toBeGreaterThan(20)
    expect(early).toBeLessThan(50)
    expect(expected).toBeGreaterThan(60)
  })

  it('follows orders 1.5 and 2 to the printed times', () => {
    // C0 20, half-life 30: to 5 mg/L 72.43 and 90.0 min; κ = (2^(n−1) − 1)/((n − 1)·30)
    const of = (order: 1.5 | 2) => ({ ...certain(20, (2 ** (order - 1) - 1) / ((order - 1) * 30)), order })
    expect(timeToTarget(of(1.5), 5, steady).expected).toBeCloseTo(72.43, 1)
    expect(timeToTarget(of(2), 5, steady).expected).toBeCloseTo(90, 2)
  })

  it('keeps early before expected and both inside the interval', () => {
    const state = known(20, 0.02, 0.01, 0.002)
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
    expect(expected).toBeCloseTo(60, 2)
    expect(early).toBeLessThan(45)
  })
})

describe('before and while readings arrive', () => {
  const prior = priorFromExpectation({ low: 15, central: 35, high: 90 })

  it('answers from the physics band alone', () => {
    const time = timeToTarget({ order: 1, potency: 20, potencyVariance: 0, prior }, 10, steady)
    expect(time.expected).toBeCloseTo(35, 1)
    // 15 to 90 as the central 90 %: 35·e^(−ln 6/2) = 14.3
    expect(time.early).toBeCloseTo(14.3, 1)
  })

  it('does not leave the fastest published decay outside the early bound of the physics', () => {
    const { early } = timeToTarget(
      {
        order: 1,
        potency: 20,
        potencyVariance: 0,
        prior: priorFromExpectation({ low: 15, central: 35, high: 90 }, 8),
      },
      10,
      steady,
    )
    expect(early).toBeLessThan(8)
    expect(early).toBeGreaterThan(5)
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
      const k = Math.LN2 / 20
      return Math.LN2 / timeToTarget({ ...known(20, k, 0, k * se), prior }, 10, steady).expected
    })
    expect(rates.every((r, i) => i === 0 || r > (rates[i - 1] ?? 0))).toBe(true)
    expect(rates[4]).toBeCloseTo(Math.LN2 / 20, 3)
    expect(rates[0]).toBeGreaterThan(Math.LN2 / 35)
  })
})

describe('the normal distribution function', () => {
  it.each([
    // scipy.stats.norm.cdf
    [-3, 0.0013498980316301035],
    [-1.644854, 0.04999996],
    [0, 0.5],
    [1.959964, 0.975],
    [5, 0.9999997133484281],
  ])('at %d is %d', (z, p) => {
    expect(Math.abs(normalCdf(z) - p)).toBeLessThan(2e-7)
  })
})
