import type { Levels } from './bench-state.ts'

/**
 * One step of the classical fourth-order Runge-Kutta method (Kutta 1901). `rate` is the change per unit of `h`; its
 * error per step is of order (h/time constant)^5.
 */
export const rungeKuttaStep = (rate: (levels: Levels) => Levels, from: Levels, h: number): Levels => {
  const s1 = rate(from)
  const s2 = rate(moved(from, s1, h / 2))
  const s3 = rate(moved(from, s2, h / 2))
  const s4 = rate(moved(from, s3, h))
  return moved(moved(moved(moved(from, s1, h / 6), s2, h / 3), s3, h / 3), s4, h / 6)
}

const moved = (from: Levels, rate: Levels, h: number): Levels => ({
  dissolvedMgPerL: from.dissolvedMgPerL + h * rate.dissolvedMgPerL,
  fluidC: from.fluidC + h * rate.fluidC,
  probeMgPerL: from.probeMgPerL + h * rate.probeMgPerL,
  thermometerC: from.thermometerC + h * rate.thermometerC,
  roomMgPerM3: from.roomMgPerM3 + h * rate.roomMgPerM3,
})
