import { describe, expect, it } from 'vitest'
import { at } from '../../../server/fit/linear-algebra.ts'
import { exponentialShape, laggedShape } from '../../../server/fit/rate-shape.ts'
import {
  fitSaturation,
  plateauInterval,
  potencyAt,
  rateInterval,
  startInterval,
  t95Interval,
} from '../../../server/fit/saturation-fit.ts'
import { fitSeparable, gramInverseOf } from '../../../server/fit/separable-fit.ts'
import { heldStartModel } from '../../../server/fit/separable-model.ts'
import { batchFile } from './batch-file.ts'
import { certified, digits } from './certified.ts'
import { noiseOf } from './random.ts'

const fitted = (data: Parameters<typeof fitSaturation>[0]) => {
  const fit = fitSaturation(data)
  if (fit.kind === 'refused') throw new Error(fit.why)
  return fit
}

const minutesOf = (n: number) => Float64Array.from({ length: n }, (_, i) => i / 60)

describe('the saturation kernel with its start held at zero', () => {
  const cases = [
    ['misra1a', [1e-4, 5e-4]],
    ['boxbod', [1, 0.75]],
  ] as const
  const starts = cases.flatMap(([name, rates]) => rates.map((rate, i) => ({ name, rate, number: i + 1 })))
  it.each(starts)('reproduces NIST $name from start $number', ({ name, rate }) => {
    const set = certified(name)
    const model = heldStartModel(set.x, exponentialShape(undefined))
    const fit = fitSeparable(model, set.y, { start: rate, lowest: 0, highest: 1e9, tolerance: 1e-13 })
    if (fit.kind === 'refused') throw new Error(fit.why)
    const gram = gramInverseOf(fit.jacobian) ?? new Float64Array(4)
    const variance = fit.rss / fit.degreesOfFreedom
    const [plateau = 0, k = 0] = set.estimates
    const [plateauSe = 0, kSe = 0] = set.standardErrors
    expect(digits(at(fit.linear, 0), plateau)).toBeGreaterThanOrEqual(8)
    expect(digits(fit.rate, k)).toBeGreaterThanOrEqual(8)
    expect(digits(Math.sqrt(variance * at(gram, 0)), plateauSe)).toBeGreaterThanOrEqual(6)
    expect(digits(fit.rate * Math.sqrt(variance * at(gram, 3)), kSe)).toBeGreaterThanOrEqual(6)
  })
})

describe('the saturation fit beside scipy', () => {
  it('agrees to 1e-6 in values and white-noise standard errors on a rising curve', () => {
    // /usr/bin/python3, scipy curve_fit(lambda t,a,b,k: a-(a-b)*exp(-k*t), t, y, [20,0,.5], xtol=ftol=gtol=1e-14)
    // on fixtures/batches/rising.csv, t in minutes
    const values = [24.073842300139162, 0.4163229979696521, 0.6152292284687193]
    const errors = [0.013447675985758804, 0.04202560164311423, 0.002008083439037592]
    const { whiteNoise } = fitted(batchFile('rising')).curve
    const c = whiteNoise.covariance
    const plateau = at(whiteNoise.linear, 0)
    const ours = [plateau, plateau + at(whiteNoise.linear, 1), whiteNoise.rate]
    const startVariance = at(c, 0) + at(c, 4) + 2 * at(c, 1)
    const oursSe = [Math.sqrt(at(c, 0)), Math.sqrt(startVariance), whiteNoise.rate * Math.sqrt(at(c, 8))]
    ours.forEach((v, i) => {
      expect(Math.abs(v / (values[i] ?? 0) - 1)).toBeLessThan(1e-6)
    })
    oursSe.forEach((v, i) => {
      expect(Math.abs(v / (errors[i] ?? 0) - 1)).toBeLessThan(1e-6)
    })
  })
})

describe('the saturation fit', () => {
  it('finds the curve it was made from, noise-free, to nine digits', () => {
    const times = minutesOf(600)
    const fit = fitted({ times, values: times.map((t) => 24 - 23 * Math.exp(-0.6 * t)) })
    expect(fit.plateau).toBeCloseTo(24, 8)
    expect(fit.start).toBeCloseTo(1, 8)
    expect(fit.rate).toBeCloseTo(0.6, 8)
  })

  it('counts t95 from the actual start, and gives 0 when already above', () => {
    const times = minutesOf(600)
    const risen = fitted({
      times,
      values: times.map((t, i) => 24 - 12 * Math.exp(-0.6 * t) + 0.01 * (i % 3)),
    })
    // ln(12/(0.05·24))/0.6 by hand
    expect(t95Interval(risen).value).toBeCloseTo(Math.log(10) / 0.6, 2)
    const above = fitted({
      times,
      values: times.map((t, i) => 24 - 1 * Math.exp(-0.6 * t) + 0.001 * (i % 3)),
    })
    expect(t95Interval(above)).toEqual({ value: 0, se: 0, ci95: [0, 0] })
  })

  it('sets spikes aside and lists them', () => {
    const times = minutesOf(600)
    const noise = noiseOf(600, { sd: 0.1, correlationS: 10, white: 0.3 }, 7)
    const clean = times.map((t, i) => 24 - 24 * Math.exp(-0.6 * t) + at(noise, i))
    const spiked = clean.slice()
    for (const i of [50, 51, 200, 201, 202, 400]) spiked[i] = at(spiked, i) + 5
    const fit = fitted({ times, values: spiked })
    expect([...fit.curve.outliers.entries()].filter(([, o]) => o === 1).map(([i]) => i)).toEqual([
      50, 51, 200, 201, 202, 400,
    ])
    expect(Math.abs(fit.rate / fitted({ times, values: clean }).rate - 1)).toBeLessThan(0.005)
  })

  it('is wider than white noise says when noise is correlated', () => {
    const times = minutesOf(1200)
    const noise = noiseOf(1200, { sd: 0.2, correlationS: 20, white: 0.2 }, 3)
    const fit = fitted({ times, values: times.map((t, i) => 24 - 24 * Math.exp(-0.6 * t) + at(noise, i)) })
    const naive = fit.rate * Math.sqrt(at(fit.curve.whiteNoise.covariance, 8))
    expect(rateInterval(fit).se / naive).toBeGreaterThan(2.5)
    expect(fit.curve.effectiveReadings).toBeLessThan(120)
    expect(plateauInterval(fit).ci95[0]).toBeLessThan(24)
    expect(plateauInterval(fit).ci95[1]).toBeGreaterThan(24)
    expect(startInterval(fit).ci95[0]).toBeLessThan(0)
    expect(potencyAt(fit, 2).se).toBeLessThan(0.2)
  })

  it.each([
    [0, 'too-few-readings'],
    [1, 'too-few-readings'],
    [3, 'too-few-readings'],
  ])('refuses %d readings', (n, why) => {
    const times = minutesOf(n)
    expect(fitSaturation({ times, values: times.map((t) => t) })).toEqual({ kind: 'refused', why })
  })

  it('refuses a flat line', () => {
    const times = minutesOf(300)
    expect(fitSaturation({ times, values: times.map(() => 5) }).kind).toBe('refused')
  })

  it('refuses a straight line, which has no plateau', () => {
    const times = minutesOf(300)
    expect(fitSaturation({ times, values: times.map((t) => 2 * t) }).kind).toBe('refused')
  })
})

describe('a known probe lag', () => {
  it('has the printed response at k 0.6 per min and τ 0.5 min', () => {
    // computed independently: 1 − [k_p e^(−kt) − k e^(−k_p t)]/(k_p − k)
    const g = new Float64Array(6)
    laggedShape(0.5)(0.6, Float64Array.of(0.5, 1, 2, 3, 5, 10), g, new Float64Array(6))
    const printed = [0.09935, 0.27398, 0.57757, 0.76492, 0.9289, 0.99646]
    printed.forEach((v, i) => {
      expect(1 - at(g, i)).toBeCloseTo(v, 5)
    })
  })

  it.each([2, 2.0000001, 1.9999, 40])('has a smooth derivative at rate %d with 1/τ = 2', (rate) => {
    const times = Float64Array.of(0.01, 0.5, 1, 3, 20)
    const of = (r: number) => {
      const g = new Float64Array(5)
      const slope = new Float64Array(5)
      laggedShape(0.5)(r, times, g, slope)
      return { g, slope }
    }
    const step = 1e-5
    const up = of(rate * Math.exp(step)).g
    const down = of(rate * Math.exp(-step)).g
    of(rate).slope.forEach((s, i) => {
      expect(s).toBeCloseTo((at(up, i) - at(down, i)) / (2 * step), 8)
    })
  })

  it.each([5, 30, 60, 100])('of %d s leaves rate and plateau unbiased', (tauS) => {
    const times = minutesOf(600)
    const g = new Float64Array(600)
    laggedShape(tauS / 60)(0.6, times, g, new Float64Array(600))
    const values = times.map((_, i) => 24 - 24 * at(g, i))
    const fit = fitted({ times, values, lag: { tau: tauS / 60, u: 0 } })
    expect(fit.rate).toBeCloseTo(0.6, 6)
    expect(fit.plateau).toBeCloseTo(24, 6)
  })

  it('widens the interval by the uncertainty of its time constant', () => {
    const times = minutesOf(600)
    const g = new Float64Array(600)
    laggedShape(0.5)(0.6, times, g, new Float64Array(600))
    const noise = noiseOf(600, { sd: 0.1, correlationS: 0, white: 1 }, 11)
    const values = times.map((_, i) => 24 - 24 * at(g, i) + at(noise, i))
    const sure = rateInterval(fitted({ times, values, lag: { tau: 0.5, u: 0 } })).se
    const unsure = rateInterval(fitted({ times, values, lag: { tau: 0.5, u: 0.05 } })).se
    expect(unsure).toBeGreaterThan(1.5 * sure)
  })
})
