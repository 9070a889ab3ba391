import { describe, expect, it } from 'vitest'
import { fitDecay } from '../../../server/fit/decay-fit.ts'
import { at } from '../../../server/fit/linear-algebra.ts'
import { rateAfterStep } from '../../../server/fit/rate-step.ts'
import { noiseOf } from './random.ts'

describe('the step from white to correlated noise', () => {
  const covariance = Float64Array.of(4, 2, 2, 9)

  it('adds to the rate itself when it leads upward, and the relative error shrinks as the rate grows', () => {
    const stepped = rateAfterStep(0.001, 7, covariance)
    expect(stepped.rate).toBeCloseTo(0.008, 12)
    expect([...stepped.covariance]).toEqual([4, 0.25, 0.25, 9 / 64])
  })

  it('stays above nothing when it leads downward', () => {
    expect(rateAfterStep(0.001, -3, covariance)).toEqual({ rate: 0.001 * Math.exp(-3), covariance })
  })

  it('takes no minute of noise for a decay of minutes', () => {
    // half-life 30 min: one minute falls by 0.46 mg/L, its noise of 0.2 hides a slope of up to about 0.06 per min
    let worst = 0
    for (let seed = 1; seed <= 150; seed++) {
      const noise = noiseOf(60, { sd: 0.2, correlationS: 20, white: 0.3 }, 6151 * seed)
      const times = Float64Array.from({ length: 60 }, (_, i) => i / 60)
      const values = times.map((t, i) => 20 * 2 ** (-t / 30) + at(noise, i))
      const fit = fitDecay({ times, values, order: 1 })
      if (fit.kind === 'fitted') worst = Math.max(worst, fit.rate)
    }
    expect(worst).toBeGreaterThan(0.03)
    expect(worst).toBeLessThan(0.15)
  })
})
