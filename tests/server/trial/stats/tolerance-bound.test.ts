import { describe, expect, it } from 'vitest'
import { noncentralTCdf, noncentralTQuantile } from '../../../../server/trial/stats/noncentral-t.ts'
import { logToleranceBound, toleranceFactor } from '../../../../server/trial/stats/tolerance-bound.ts'

describe('the noncentral t', () => {
  // python3, scipy 1.17.1: stats.nct.cdf(t, df, nc)
  it.each([
    [2, 4, 1, 0.7645674538243243],
    [10.5, 4, 3.676, 0.9659794155500092],
    [60, 1, 30, 0.6171239660778467],
    [1.5, 2.5, -1, 0.9793003027980574],
    [20, 19, 7.36, 0.9999817800716772],
  ])('gives at t %f with %f degrees of freedom and noncentrality %f what scipy gives', (t, df, delta, p) => {
    expect(noncentralTCdf(t, df, delta)).toBeCloseTo(p, 7)
  })

  it('finds the quantile that its distribution function leads back from', () => {
    for (const p of [0.01, 0.5, 0.95, 0.999])
      expect(noncentralTCdf(noncentralTQuantile(p, 7, 2.5), 7, 2.5)).toBeCloseTo(p, 8)
  })

  it('refuses a probability that no quantile belongs to', () => {
    expect(() => noncentralTQuantile(1, 4, 0)).toThrow(/between 0 and 1, got 1/)
  })
})

describe('the one-sided tolerance factor', () => {
  // ISO 16269-6 and the tables behind NIST/SEMATECH e-Handbook 7.2.6.3; third decimals recomputed with
  // scipy 1.17.1: stats.nct.ppf(0.95, n - 1, stats.norm.ppf(p) * n**0.5) / n**0.5
  it.each([
    [3, 0.9, 6.155],
    [5, 0.9, 3.407],
    [10, 0.9, 2.355],
    [5, 0.95, 4.203],
    [10, 0.95, 2.911],
    [20, 0.95, 2.396],
    [5, 0.99, 5.741],
    [100, 0.99, 2.684],
  ])('for %i batches and part %f at 95 %% confidence is the published one', (n, coverage, k) => {
    expect(toleranceFactor(n, { coverage, confidence: 0.95 })).toBeCloseTo(k, 3)
  })

  it('for two batches is as large as it has to be', () => {
    // scipy 1.17.1, as above
    expect(toleranceFactor(2, { coverage: 0.9, confidence: 0.95 })).toBeCloseTo(20.58146762, 4)
  })

  it('at 99 % confidence lies just below the approximation in the NIST example of 43 values', () => {
    // NIST/SEMATECH e-Handbook 7.2.6.3 approximates 1.8752; scipy gives 1.8739536
    expect(toleranceFactor(43, { coverage: 0.9, confidence: 0.99 })).toBeCloseTo(1.8739536, 6)
  })

  it('cannot be had from one batch', () => {
    expect(() => toleranceFactor(1, { coverage: 0.9, confidence: 0.95 })).toThrow(/at least 2 batches/)
  })
})

describe('a tolerance bound on the log scale', () => {
  const minutes = [6.1, 5.4, 7.2, 5.9, 6.6]
  const demand = { coverage: 0.9, confidence: 0.95 }

  it('is exp(mean ± k·s) of the logarithms', () => {
    // scipy 1.17.1: l = np.log(v); np.exp(l.mean() + k * l.std(ddof=1)) with the factor above
    expect(logToleranceBound(minutes, 'upper', demand).value).toBeCloseTo(9.021315349, 7)
    expect(logToleranceBound(minutes, 'lower', demand).value).toBeCloseTo(4.274752265, 7)
  })

  it('refuses a time of zero, which has no logarithm', () => {
    expect(() => logToleranceBound([0, 1, 2], 'upper', demand)).toThrow(/positive values, got 0/)
  })
})
