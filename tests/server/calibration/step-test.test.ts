import { describe, expect, it } from 'vitest'
import { firstMoved, stepTest } from '../../../server/calibration/step-test.ts'

const SECONDS = Float64Array.from({ length: 90 }, (_, i) => i)
/** A scatter anybody can make again: 0.05·sin(1.7·t²). */
const scatter = (t: number): number => 0.05 * Math.sin(1.7 * t * t)
const step = (tauS: number, start: number, end: number) =>
  SECONDS.map((t) => end + (start - end) * Math.exp(-t / tauS) + scatter(t))

describe('the step test of a probe', () => {
  it('finds the response time with its uncertainty, upwards and downwards', () => {
    const up = stepTest(SECONDS, step(9, 2, 20))
    if (up.kind === 'refused') throw new Error(up.why)
    // scipy curve_fit on the same numbers: 9.006671 ± 0.018753
    expect(Math.abs(up.tauS - 9.006671)).toBeLessThan(0.018753)
    expect(up.uS / 0.018753).toBeGreaterThan(0.5)
    expect(up.uS / 0.018753).toBeLessThan(1.6)
    expect(up.ci95S[0]).toBeLessThan(9)
    expect(up.ci95S[1]).toBeGreaterThan(9)
    const down = stepTest(SECONDS, step(9, 20, 0))
    expect(down.kind === 'fitted' && Math.abs(down.tauS - 9) < 0.08).toBe(true)
  })

  it('agrees with the area above the curve when the probe is of first order', () => {
    const found = stepTest(SECONDS, step(9, 2, 20))
    expect(found.kind === 'fitted' && Math.abs(found.areaTauS / 9 - 1)).toBeLessThan(0.02)
    expect(found).toMatchObject({ differ: false })
  })

  it('does not where the step comes late: the area counts the dead time, the fit does not follow it', () => {
    const late = SECONDS.map((t) => (t < 12 ? 2 : 20 - 18 * Math.exp(-(t - 12) / 4)) + scatter(t))
    expect(stepTest(SECONDS, late)).toMatchObject({ kind: 'fitted', differ: true })
  })

  it('is refused where the end was not reached or nothing changed', () => {
    expect(stepTest(SECONDS, step(60, 2, 20))).toMatchObject({ kind: 'refused', why: 'too-short' })
    expect(stepTest(SECONDS.subarray(0, 3), step(9, 2, 20).subarray(0, 3))).toMatchObject({
      kind: 'refused',
      why: 'too-few-readings',
    })
    expect(
      stepTest(
        SECONDS,
        SECONDS.map(() => 20),
      ).kind,
    ).toBe('refused')
  })
})

describe('a mark set before the probe was moved', () => {
  it('costs nothing: readings from before it moved are left out', () => {
    // 7 s at the old level, then a step with 9 s; from 10 % of the change on
    const early = SECONDS.map((t) => (t < 7 ? 2 : 20 - 18 * Math.exp(-(t - 7) / 9)) + scatter(t))
    const moved = firstMoved(early)
    // 1 − e^(−t/9) passes 0.1 after 0.95 s
    expect(SECONDS[moved]).toBe(8)
    const found = stepTest(SECONDS.subarray(moved), early.subarray(moved))
    expect(found.kind === 'fitted' && Math.abs(found.tauS / 9 - 1)).toBeLessThan(0.01)
    expect(found).toMatchObject({ differ: false })
  })

  it('is the first reading where the probe was moved before the mark, and where nothing moved', () => {
    expect(firstMoved(step(9, 2, 20))).toBeLessThanOrEqual(1)
    expect(firstMoved(SECONDS.map(() => 20))).toBe(0)
    expect(firstMoved(new Float64Array(0))).toBe(0)
  })
})
