import type { Measured } from './measured.ts'

/** Part of the dissolved ozone lost in a time: 1 − 2^(−Δt/t½), first order, with its uncertainty from both. */
export const lostInTime = (minutes: Measured, halfLifeMin: Measured): Measured => {
  const left = 2 ** (-minutes.value / halfLifeMin.value)
  const perPart = Math.LN2 * left
  return {
    value: 1 - left,
    u: Math.hypot(
      (perPart * minutes.u) / halfLifeMin.value,
      (perPart * minutes.value * halfLifeMin.u) / halfLifeMin.value ** 2,
    ),
  }
}

/** What the fluid held when it was drawn, from what was measured later: C/(1 − lost). */
export const atDraw = (measured: Measured, lost: Measured): Measured => {
  const left = 1 - lost.value
  const value = measured.value / left
  return { value, u: Math.hypot(measured.u / left, (value * lost.u) / left) }
}
