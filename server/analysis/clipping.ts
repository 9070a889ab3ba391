import { at } from '../fit/linear-algebra.ts'

/** A run at the top this long, reached abruptly, is the end of the meter's range even if nobody entered it. */
const FLAT_RUN = 30
const APPROACH = 10

/**
 * Which readings sit at the upper end of the range: marked by the daemon, at or above the stated full scale, or, with
 * neither, in a flat run at the record's own maximum that the signal ran into at speed. Undefined when none do.
 */
export const clippedAtTop = (
  values: Float64Array,
  resolution: number,
  marked: Uint8Array | undefined,
  fullScale: number | undefined,
): Uint8Array | undefined => {
  const limit = fullScale === undefined ? guessedLimit(values, resolution) : fullScale - resolution / 2
  const clipped = new Uint8Array(values.length)
  let any = false
  for (let i = 0; i < values.length; i++) {
    if (marked?.[i] === 1 || (values[i] as number) >= limit) {
      clipped[i] = 1
      any = true
    }
  }
  return any ? clipped : undefined
}

const guessedLimit = (values: Float64Array, resolution: number): number => {
  let top = Number.NEGATIVE_INFINITY
  for (const v of values) if (v > top) top = v
  let from = -1
  for (let i = 0; i < values.length; i++) {
    if (values[i] !== top) {
      from = -1
      continue
    }
    if (from < 0) from = i
    if (i - from + 1 >= FLAT_RUN && ranIntoIt(values, from, top, resolution)) return top
  }
  return Number.POSITIVE_INFINITY
}

/** Ten readings earlier the signal was more than five steps of the display below. */
const ranIntoIt = (values: Float64Array, from: number, top: number, resolution: number): boolean =>
  from >= APPROACH && top - at(values, from - APPROACH) > 5 * resolution
