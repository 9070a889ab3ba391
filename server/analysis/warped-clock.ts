import { celsius } from '../../ingest/units.ts'
import { at } from '../fit/linear-algebra.ts'
import { arrheniusFactor } from '../model/arrhenius.ts'
import { type TemperatureCourse, temperatureAt } from '../model/warped-time.ts'

/** Times of a phase in the clock a decay goes by; both in minutes since its start. */
export type Clock = (minutes: Float64Array) => Float64Array

/** Knots are this far apart at least, minutes, and at most this many cover a phase: fluid warms slowly. */
const CLOSEST = 0.25
const MOST_KNOTS = 400

/**
 * Minutes a decay at 20 °C would have taken to go as far · u(t) = ∫ exp[−(E/R)(1/T(s) − 1/T_ref)] ds, trapezium rule
 * between knots, E in kJ/mol. Made once for a course, it is read off in any number of places.
 */
export const warpedClock = (
  startS: number,
  course: TemperatureCourse,
  energyKj: number,
  untilMinutes: number,
): Clock => {
  const step = Math.max(CLOSEST, untilMinutes / MOST_KNOTS)
  const speeds: number[] = []
  const gone: number[] = []
  const reach = (knot: number) => {
    for (let j = speeds.length; j <= knot; j++) {
      speeds.push(arrheniusFactor(celsius(temperatureAt(course, startS + 60 * j * step)), energyKj))
      gone.push(j === 0 ? 0 : at(gone, j - 1) + (step * (at(speeds, j - 1) + at(speeds, j))) / 2)
    }
  }
  return (minutes) =>
    minutes.map((t) => {
      const knot = Math.max(0, Math.floor(t / step))
      reach(knot + 1)
      const part = t / step - knot
      const change = at(speeds, knot + 1) - at(speeds, knot)
      return at(gone, knot) + part * step * (at(speeds, knot) + (part * change) / 2)
    })
}
