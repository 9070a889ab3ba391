import { describe, expect, it } from 'vitest'
import { batchesNeeded, powerOf } from '../../../../server/trial/stats/batches-needed.ts'
import { controlChart } from '../../../../server/trial/stats/control-chart.ts'
import { dayEffect } from '../../../../server/trial/stats/day-effect.ts'
import { grubbs, grubbsCritical } from '../../../../server/trial/stats/grubbs.ts'

describe('Grubbs’ test', () => {
  it('flags the one reading apart in the NIST mass-spectrometer data', () => {
    // NIST/SEMATECH e-Handbook 1.3.5.17.1: G = 2.46876
    const found = grubbs([199.31, 199.53, 200.19, 200.82, 201.92, 201.95, 202.18, 245.57])
    expect(found?.g).toBeCloseTo(2.46876, 4)
    expect(found).toMatchObject({ index: 7, flagged: true })
  })

  it.each([
    [3, 1.154],
    [5, 1.715],
    [10, 2.29],
    [20, 2.708],
  ])('has at 5 %% two-sided for %i values the published critical value', (n, critical) => {
    // Grubbs & Beck, Technometrics 14, 847 (1972), table for 2.5 % one-sided (from memory; the formula gives the same)
    expect(Math.abs(grubbsCritical(n) - critical)).toBeLessThan(0.0011)
  })

  it('says nothing of two values, or of values without spread', () => {
    expect(grubbs([1, 9])).toBeUndefined()
    expect(grubbs([2, 2, 2])).toBeUndefined()
  })
})

describe('the number of batches', () => {
  const question = { ratio: 1.2, sdLog: 0.1, alpha: 0.05 }

  it.each([
    [3, 0.4005127438],
    [5, 0.7146278667],
    [10, 0.9706932544],
  ])('%i in each group finds 20 %% at 10 %% spread as often as scipy says', (n, power) => {
    // scipy 1.17.1: 1 - nct.cdf(t, 2n-2, d) + nct.cdf(-t, 2n-2, d), d = ln 1.2/(0.1 sqrt(2/n)), t = t.ppf(.975, 2n-2)
    expect(powerOf(n, question)).toBeCloseTo(power, 7)
  })

  it('is the first that gives the power asked for', () => {
    const n = batchesNeeded(question, 0.8) ?? 0
    expect(powerOf(n, question)).toBeGreaterThanOrEqual(0.8)
    expect(powerOf(n - 1, question)).toBeLessThan(0.8)
  })

  it('is not given where 200 would not do', () => {
    expect(batchesNeeded({ ratio: 1.001, sdLog: 0.5, alpha: 0.05 }, 0.8)).toBeUndefined()
  })
})

describe('the control chart', () => {
  it('sets its limits as the NIST handbook does for its flowrates', () => {
    // NIST/SEMATECH e-Handbook 6.3.2.2: mean 50.81, mean moving range 1.8778, limits 55.8041 and 45.8159
    const chart = controlChart([49.6, 47.6, 49.9, 51.3, 47.8, 51.2, 52.6, 52.4, 53.6, 52.1])
    expect(chart?.centre).toBeCloseTo(50.81, 6)
    expect(chart?.meanRange).toBeCloseTo(1.8778, 4)
    expect(chart?.high).toBeCloseTo(55.8041, 3)
    expect(chart?.low).toBeCloseTo(45.8159, 3)
    expect(chart?.outside).toEqual([])
  })

  it('marks a drift: eight or more at the end on one side of the centre', () => {
    const drift = controlChart([1, 2, 1, 2, 1, 2, 1, 2, 3, 3.1, 3, 3.2, 3, 3.1, 3, 3.1])
    expect(drift?.driftFrom).toBe(8)
    expect(controlChart([1, 2, 1, 2, 1, 2, 1, 2, 3, 3.1, 3, 3.2, 3, 3.1, 3])?.driftFrom).toBeUndefined()
    expect(controlChart([1, 1, 1, 1, 1, 1, 1, 1, 1])?.driftFrom).toBeUndefined()
  })

  it('marks a value outside, and the jump to it', () => {
    const chart = controlChart([5, 5.1, 4.9, 5, 5.1, 4.9, 5, 5.1, 4.9, 5, 5.1, 9])
    expect(chart?.outside).toEqual([11])
    expect(chart?.rangeOutside).toEqual([11])
  })

  it('needs two values', () => {
    expect(controlChart([1])).toBeUndefined()
  })
})

describe('the effect of the day', () => {
  it('gives the F of the one-way analysis in the NIST handbook', () => {
    // NIST/SEMATECH e-Handbook 7.4.3.3 (values from memory): F 9.59; scipy 1.17.1 f_oneway: 9.5911070364, p 0.0032482226
    const found = dayEffect([
      [6.9, 5.4, 5.8, 4.6, 4.0],
      [8.3, 6.8, 7.8, 9.2, 6.5],
      [8.0, 10.5, 8.1, 6.9, 9.3],
    ])
    expect(found?.f).toBeCloseTo(9.5911070364, 8)
    expect(found?.p).toBeCloseTo(0.0032482226, 8)
    // (13.9487 − 1.45433)/(13.9487 + 4·1.45433), by hand from the mean squares
    expect(found?.part).toBeCloseTo(0.63213, 4)
  })

  it('cannot be told with one batch a day', () => {
    expect(dayEffect([[1], [2], [3]])).toBeUndefined()
  })
})
