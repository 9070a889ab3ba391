import type { Instrument } from '../wire.ts'
import { linearity, type Point } from './line-from-points.ts'

/** Linearity as it is told; null with fewer than three levels or without a limit. */
export const linearityOf = (
  points: readonly Point[],
  limitPercent: number | undefined,
): Instrument['history'][number]['linearity'] => {
  const found = limitPercent === undefined ? undefined : linearity(points, limitPercent)
  return found
    ? { word: found.word, furthest_percent: found.furthestPercent.value, u_percent: found.furthestPercent.u }
    : null
}
