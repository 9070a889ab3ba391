import { describe, expect, it } from 'vitest'
import {
  decayedAt,
  decayRateInterval,
  decayStartInterval,
  fitDecay,
  halfLifeInterval,
} from '../../../server/fit/decay-fit.ts'
import { at } from '../../../server/fit/linear-algebra.ts'
import { decayed, rateForHalfLife } from '../../../server/model/decay-order.ts'
import { batchFile } from './batch-file.ts'
import { noiseOf } from './random.ts'

const fitted = (data: Parameters<typeof fitDecay>[0]) => {
  const fit = fitDecay(data)
  if (fit.kind === 'refused') throw new Error(fit.why)
  return fit
}
const minutesOf = (n: number) => Float64Array.from({ length: n }, (_, i) => i / 60)

describe('the decay fit beside scipy', () => {
  it('agrees to 1e-6 in values and white-noise standard errors', () => {
    // /usr/bin/python3, scipy curve_fit(lambda t,a,k: a*exp(-k*t), t, y, [20,.02], xtol=ftol=gtol=1e-14)
    // on fixtures/batches/decaying.csv, t in minutes
    const values = [21.009207487624504, 0.024782952601578378]
    const errors = [0.011060388806452177, 3.746618578842572e-5]
    const { whiteNoise } = fitted({ ...batchFile('decaying'), order: 1 }).curve
    const ours = [at(whiteNoise.linear, 0), whiteNoise.rate]
    const oursSe = [
      Math.sqrt(at(whiteNoise.covariance, 0)),
      whiteNoise.rate * Math.sqrt(at(whiteNoise.covariance, 3)),
    ]
    ours.forEach((v, i) => {
      expect(Math.abs(v / (values[i] ?? 0) - 1)).toBeLessThan(1e-6)
    })
    oursSe.forEach((v, i) => {
      expect(Math.abs(v / (errors[i] ?? 0) - 1)).toBeLessThan(1e-6)
    })
  })
})

describe('the decay fit', () => {
  it('gives a half-life whose interval is symmetric in the logarithm', () => {
    // k 0.0231049 with se 0.0010: half-life 30.000 ± 1.298, log-scale 95 % 27.56 to 32.66 (computed independently)
    const fit = {
      ...fitted({ ...batchFile('decaying'), order: 1 }),
      rate: 0.0231049,
      covariance: Float64Array.of(0, 0, 0, (0.001 / 0.0231049) ** 2),
      t: 1.959964,
    }
    const { value, se, ci95 } = halfLifeInterval(fit)
    expect([value, se, ...ci95].map((v) => v.toFixed(2))).toEqual(['30.00', '1.30', '27.56', '32.66'])
    expect(decayRateInterval(fit).value).toBe(0.0231049)
  })

  it.each([1, 1.5, 2] as const)('finds the half-life of a decay of order %d', (order) => {
    const times = minutesOf(3600)
    const rate = rateForHalfLife(order, 20, 30)
    const fit = fitted({ times, values: times.map((t) => decayed(order, 20, rate, t)), order })
    expect(halfLifeInterval(fit).value).toBeCloseTo(30, 6)
    expect(decayStartInterval(fit).value).toBeCloseTo(20, 6)
    expect(decayedAt(fit, 45).value).toBeCloseTo(decayed(order, 20, rate, 45), 6)
  })

  it('looks good in the wrong order inside one half-life and under-predicts what remains', () => {
    // order 1.5, noise-free, first 30 min: first-order fit C0 19.68, k 0.02339 (computed independently)
    const times = minutesOf(1801)
    const rate = rateForHalfLife(1.5, 20, 30)
    const fit = fitted({ times, values: times.map((t) => decayed(1.5, 20, rate, t)), order: 1 })
    expect(at(fit.curve.whiteNoise.linear, 0)).toBeCloseTo(19.68, 2)
    expect(fit.curve.whiteNoise.rate).toBeCloseTo(0.02339, 5)
    expect(fit.curve.residualSd).toBeCloseTo(0.128, 2)
  })

  it('shares one rate across a step at a draw-up', () => {
    const times = minutesOf(1800)
    const noise = noiseOf(1800, { sd: 0.1, correlationS: 10, white: 0.5 }, 5)
    const values = times.map((t, i) => (t < 12 ? 20 : 18.5) * 2 ** (-t / 30) + at(noise, i))
    const fit = fitted({ times, values, order: 1, breaks: [12] })
    expect(Math.abs(halfLifeInterval(fit).value / 30 - 1)).toBeLessThan(0.03)
    expect(at(fit.starts, 1)).toBeCloseTo(18.5, 0)
    const blind = fitted({ times, values, order: 1 })
    expect(Math.abs(halfLifeInterval(blind).value / 30 - 1)).toBeGreaterThan(0.05)
  })
})
