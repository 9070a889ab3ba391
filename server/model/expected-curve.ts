import type { Expectation } from './expectation.ts'
import type { Spread } from './solubility.ts'

export interface ExpectedPoint extends Spread {
  readonly minutes: number
}

/** Expected potency while bubbling, mg/L · C = C0 + (Css − C0)(1 − e^(−k t)), slowest to fastest as the band. */
export const expectedRise = (
  expected: Expectation,
  startMgPerL: number,
  minutes: readonly number[],
): ExpectedPoint[] => {
  const { plateau_mg_l: plateau, rate_per_min: rate } = expected
  const at = (edge: keyof Spread, t: number) =>
    startMgPerL + (plateau[edge] - startMgPerL) * -Math.expm1(-rate[edge] * t)
  return minutes.map((t) => ordered(t, at('low', t), at('central', t), at('high', t)))
}

/** Expected potency after flow-off, mg/L · C = C0·2^(−t/t½). */
export const expectedDecay = (
  expected: Expectation,
  startMgPerL: number,
  minutes: readonly number[],
): ExpectedPoint[] => {
  const life = expected.half_life_min
  const at = (edge: keyof Spread, t: number) => startMgPerL * 2 ** (-t / life[edge])
  return minutes.map((t) => ordered(t, at('low', t), at('central', t), at('high', t)))
}

/** Bubbling a fluid that already holds more than the plateau makes it fall, and the edges change places. */
const ordered = (minutes: number, a: number, central: number, b: number): ExpectedPoint => ({
  minutes,
  low: Math.min(a, central, b),
  central,
  high: Math.max(a, central, b),
})
