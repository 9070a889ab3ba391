import { describe, expect, it } from 'vitest'
import { randomEffects } from '../../../../server/trial/stats/random-effects.ts'

/** Tuberculosis vaccine trials: Colditz et al., JAMA 271, 698 (1994); cases and others, vaccinated then not. Counts from memory. */
const COUNTS = [
  [4, 119, 11, 128],
  [6, 300, 29, 274],
  [3, 228, 11, 209],
  [62, 13536, 248, 12619],
  [33, 5036, 47, 5761],
  [180, 1361, 372, 1079],
  [8, 2537, 10, 619],
  [505, 87886, 499, 87892],
  [29, 7470, 45, 7232],
  [17, 1699, 65, 1600],
  [186, 50448, 141, 27197],
  [5, 2493, 3, 2338],
  [27, 16886, 29, 17825],
] as const

const logRiskRatios = COUNTS.map(([a, b, c, d]) => ({
  value: Math.log(a / (a + b) / (c / (c + d))),
  se: Math.sqrt(1 / a - 1 / (a + b) + 1 / c - 1 / (c + d)),
}))

describe('the random-effects mean', () => {
  it('gives the published REML result of the vaccine trials', () => {
    // R 4.2.2, metafor 3.8-1 (Debian r-cran-metafor): e <- escalc("RR", ai, bi, ci, di); rma(yi, vi, data = e, test = "knha",
    // control = list(threshold = 1e-12, maxiter = 1000)): −0.714532342158, se 0.180791744093, tau² 0.313243258136,
    // Q 152.233008082373, I² 92.221384521269, 95 % −1.108443713686 to −0.320620970631
    const found = randomEffects(logRiskRatios)
    expect(found.tau2).toBeCloseTo(0.31324326, 6)
    expect(found.mean).toBeCloseTo(-0.71453234, 6)
    expect(found.q).toBeCloseTo(152.23300808, 6)
    expect(found.i2).toBeCloseTo(0.9222, 4)
    expect(found.se).toBeCloseTo(0.18079174, 6)
    expect(found.ci95[0]).toBeCloseTo(-1.108443714, 6)
    expect(found.ci95[1]).toBeCloseTo(-0.320620971, 6)
  })

  it('gives what R gives for the times of six batches with their own errors', () => {
    // R 4.2.2, metafor 3.8-1: rma(log(minutes), sei = se, method = "REML", test = "adhoc", control as above); "adhoc" is
    // the one that is never narrower than the classic error
    const minutes = [6.1, 5.4, 7.2, 5.9, 6.6, 6.3]
    const se = [0.02, 0.03, 0.015, 0.04, 0.02, 0.025]
    const found = randomEffects(minutes.map((m, i) => ({ value: Math.log(m), se: se[i] ?? Number.NaN })))
    expect(found.mean).toBeCloseTo(1.83121674012, 8)
    expect(found.tau2).toBeCloseTo(0.00913560574, 8)
    expect(found.se).toBeCloseTo(0.04042865726, 8)
    expect(found.q).toBeCloseTo(102.755961725, 6)
    expect(found.i2).toBeCloseTo(0.947759864845, 7)
    expect(found.ci95[0]).toBeCloseTo(1.72729156813, 7)
    expect(found.ci95[1]).toBeCloseTo(1.93514191212, 7)
  })

  it('finds no variance between batches that differ less than their errors allow', () => {
    const found = randomEffects([1, 1.01, 0.99].map((value) => ({ value, se: 0.1 })))
    expect(found.tau2).toBe(0)
    expect(found.i2).toBe(0)
    expect(found.mean).toBeCloseTo(1, 12)
    // never narrower than the classic 0.1/√3
    expect(found.se).toBeCloseTo(0.1 / Math.sqrt(3), 12)
  })

  it('with equal errors is the plain mean, and τ² the sample variance less the error', () => {
    const found = randomEffects([1, 2, 4, 5].map((value) => ({ value, se: 0.5 })))
    expect(found.mean).toBeCloseTo(3, 10)
    // variance 10/3, error 0.25
    expect(found.tau2).toBeCloseTo(10 / 3 - 0.25, 8)
  })

  it('needs two batches, each with an error', () => {
    expect(() => randomEffects([{ value: 1, se: 1 }])).toThrow(/at least 2 batches/)
    expect(() =>
      randomEffects([
        { value: 1, se: 0 },
        { value: 2, se: 1 },
      ]),
    ).toThrow(/positive standard errors/)
  })
})
