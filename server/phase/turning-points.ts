import { at } from '../fit/linear-algebra.ts'

/** Alternating lows and highs, as indices, each at least `step` away from the one before. */
export interface TurningPoint {
  readonly index: number
  readonly kind: 'low' | 'high'
}

/**
 * Turning points of a signal with hysteresis: the first change of `step` decides whether the record starts at a low or
 * at a high; afterwards a reversal counts once it has gone `step` back. Fewer than two points: nothing happened.
 */
export const turningPoints = (values: Float64Array, step: number): TurningPoint[] => {
  const points: TurningPoint[] = []
  let low = 0
  let high = 0
  let rising: boolean | undefined
  for (let i = 1; i < values.length; i++) {
    const value = at(values, i)
    if (value < at(values, low)) low = i
    if (value > at(values, high)) high = i
    if (rising !== true && value - at(values, low) >= step) {
      points.push({ index: low, kind: 'low' })
      rising = true
      high = i
    } else if (rising !== false && at(values, high) - value >= step) {
      points.push({ index: high, kind: 'high' })
      rising = false
      low = i
    }
  }
  if (rising !== undefined) points.push(rising ? { index: high, kind: 'high' } : { index: low, kind: 'low' })
  return points
}
