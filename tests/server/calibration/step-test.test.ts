import { describe, expect, it } from 'vitest'
import { stepTest } from '../../../server/calibration/step-test.ts'

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
