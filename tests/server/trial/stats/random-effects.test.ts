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
    // metafor, rma(yi, vi, data = dat.bcg): tau² 0.3132, estimate −0.7145, Q 152.2330, I² 92.22 % (from memory);
    // scipy 1.17.1, minimize_scalar of the restricted likelihood: tau² 0.31324326, mean −0.71453234, Q 152.23300808
    const found = randomEffects(logRiskRatios)
    expect(found.tau2).toBeCloseTo(0.31324326, 6)
    expect(found.mean).toBeCloseTo(-0.71453234, 6)
    expect(found.q).toBeCloseTo(152.23300808, 6)
    expect(found.i2).toBeCloseTo(0.9222, 4)
    // numpy: sqrt(sum(w (y − m)²)/12/sum(w)), Hartung and Knapp
    expect(found.se).toBeCloseTo(0.18079174, 6)
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
