import { describe, expect, it } from 'vitest'
import { equivalence, ratioEquivalence } from '../../../../server/trial/stats/equivalence.ts'
import { holm } from '../../../../server/trial/stats/holm.ts'
import { ratioOf, welch, welchInterval } from '../../../../server/trial/stats/welch.ts'

/** NIST/SEMATECH e-Handbook 7.3.1, assembly times; values from memory, the published results confirm them. */
const OLD = [32, 37, 35, 28, 41, 44, 35, 31, 34, 38, 42]
const NEW = [36, 31, 30, 31, 34, 36, 29, 32, 31]
const A = [31.2, 29.8, 30.5, 32.0, 30.9, 31.4]
const B = [29.9, 31.1, 30.2, 30.8, 29.6, 30.7]

describe('the Welch test', () => {
  it('gives t 2.269 with 15.53 degrees of freedom for the assembly times of the NIST handbook', () => {
    // scipy 1.17.1: stats.ttest_ind(old, new, equal_var=False) and its confidence_interval()
    const found = welch(OLD, NEW)
    expect(found.t).toBeCloseTo(2.26937313, 8)
    expect(found.degreesOfFreedom).toBeCloseTo(15.53251435, 8)
    expect(found.p).toBeCloseTo(0.0378794761, 8)
    expect(welchInterval(found, 0.95)[0]).toBeCloseTo(0.245943468, 7)
    expect(welchInterval(found, 0.95)[1]).toBeCloseTo(7.4914302694, 7)
  })

  it('on the log scale says how many times as much, with its interval', () => {
    // scipy 1.17.1: ttest_ind(np.log(A), np.log(B), equal_var=False), exponentials of difference and interval; R 4.2.2,
    // t.test(log(A), log(B)): −0.00965846556739 to 0.04748953946488
    const found = ratioOf(A, B)
    expect(found.ratio).toBeCloseTo(1.019095569, 8)
    expect(found.ci[0]).toBeCloseTo(0.9903880276, 7)
    expect(found.ci[1]).toBeCloseTo(1.0486352317, 7)
  })

  it('refuses two groups without any spread', () => {
    expect(() => welch([1, 1], [2, 2])).toThrow(/needs spread/)
  })
})

describe('Holm’s correction', () => {
  it('gives what R gives for p.adjust(c(0.01, 0.04, 0.03, 0.005), "holm")', () => {
    // R 4.2.2 printed 0.03 0.06 0.06 0.02; by hand after Holm (1979): sorted 0.005·4, 0.01·3, 0.03·2, then not below the one before
    expect(holm([0.01, 0.04, 0.03, 0.005])).toEqual([0.03, 0.06, 0.06, 0.02])
  })

  it('never goes past one and leaves a single p as it is', () => {
    expect(holm([0.6, 0.7])).toEqual([1, 1])
    expect(holm([0.2])).toEqual([0.2])
    expect(holm([])).toEqual([])
  })
})

describe('the test for equivalence', () => {
  it('finds two groups equivalent whose 90 % interval lies inside the margin', () => {
    // Schuirmann's two tests by scipy 1.17.1: 90 % interval −0.1286 to 1.2953; larger p of the two by
    // stats.t.cdf((0.58333 − 2)/0.38994, 9.32736) = 0.00257
    const found = equivalence(welch(A, B), 2)
    expect(found.interval[0]).toBeCloseTo(-0.1286305575, 7)
    expect(found.interval[1]).toBeCloseTo(1.2952972242, 7)
    expect(found.p).toBeCloseTo(0.00257, 5)
    expect(found.equivalent).toBe(true)
  })

  it('does not call equivalent what is only not different', () => {
    // scipy 1.17.1, on logarithms: p 0.0716 at 4 %, 0.0211 at 5 %
    expect(welch(A, B).p).toBeGreaterThan(0.05)
    expect(ratioEquivalence(A, B, 4)).toMatchObject({ equivalent: false })
    expect(ratioEquivalence(A, B, 4).p).toBeCloseTo(0.0716298298, 7)
    expect(ratioEquivalence(A, B, 5)).toMatchObject({ equivalent: true })
    expect(ratioEquivalence(A, B, 5).p).toBeCloseTo(0.0210879558, 7)
  })

  it('needs a margin', () => {
    expect(() => equivalence(welch(A, B), 0)).toThrow(/margin needs to be positive/)
  })
})
