import { at } from '../fit/linear-algebra.ts'
import { type AsideCodes, codeOf, USABLE } from './aside.ts'

const REPEATED = codeOf('repeated')

/** A meter that repeats one value this long while the batch changes has stopped measuring. */
const STUCK_S = 120
/** A run of fewer readings than this is a slow meter's, not a stuck one's. */
const LEAST_RUN = 11

/**
 * Marks values repeated for two minutes in a record that otherwise moves, in the readings from `from` on, which begins a
 * run. Gives the beginning of the last run: what comes next may still change its marks.
 */
export const markStuck = (
  timesS: Float64Array,
  values: Float64Array,
  resolution: number,
  aside: AsideCodes,
  from: number,
): number => {
  let runFrom = from
  for (let i = from + 1; i <= values.length; i++) {
    if (i < values.length && values[i] === values[runFrom]) continue
    if (i - runFrom >= LEAST_RUN && resolution > 0) markRun(timesS, values, resolution, aside, runFrom, i)
    if (i < values.length) runFrom = i
  }
  return runFrom
}

const markRun = (
  timesS: Float64Array,
  values: Float64Array,
  resolution: number,
  aside: AsideCodes,
  from: number,
  to: number,
): void => {
  const lasted = at(timesS, to - 1) - at(timesS, from)
  const isIdle = Math.abs(at(values, from)) < 5 * resolution
  if (lasted < STUCK_S || isIdle || !jumpsAway(values, to, resolution)) return
  for (let j = from + 1; j < to; j++) if (aside[j] === USABLE) aside[j] = REPEATED
}

/** After a stuck value the reading leaves it by more than a step of the display, or the record ends in it. */
const jumpsAway = (values: Float64Array, next: number, resolution: number): boolean =>
  next >= values.length || Math.abs(at(values, next) - at(values, next - 1)) > 1.5 * resolution
