import { celsius } from '../../ingest/units.ts'
import { arrheniusFactor, REFERENCE_C } from './arrhenius.ts'

/** Fluid temperature over time: seconds since the start of the batch, °C. Times increase. */
export interface TemperatureCourse {
  readonly timesS: Float64Array
  readonly celsius: Float64Array
}

/** Temperature at a time, on straight lines between readings; before the first and after the last, that reading. */
export const temperatureAt = (course: TemperatureCourse, seconds: number): number => {
  const { timesS, celsius: values } = course
  let low = 0
  let high = timesS.length - 1
  if (high < 0) return Number.NaN
  if (seconds <= (timesS[0] as number)) return values[0] as number
  if (seconds >= (timesS[high] as number)) return values[high] as number
  while (high - low > 1) {
    const middle = (low + high) >> 1
    if ((timesS[middle] as number) <= seconds) low = middle
    else high = middle
  }
  const part = (seconds - (timesS[low] as number)) / ((timesS[high] as number) - (timesS[low] as number))
  return (values[low] as number) + part * ((values[high] as number) - (values[low] as number))
}

/**
 * Minutes a decay at the reference temperature would have taken to go as far · u(t) = ∫ exp[−(E/R)(1/T(s) − 1/T_ref)] ds.
 * Trapezium rule on steps of at most 15 s; E in kJ/mol. A decay with k(T) is a plain one in u.
 */
export const warpedMinutes = (
  minutes: Float64Array,
  startS: number,
  course: TemperatureCourse,
  energyKj: number,
  referenceC: number = REFERENCE_C,
): Float64Array => {
  const speed = (atMinutes: number) =>
    arrheniusFactor(celsius(temperatureAt(course, startS + 60 * atMinutes)), energyKj, celsius(referenceC))
  const out = new Float64Array(minutes.length)
  const last = minutes.length === 0 ? 0 : (minutes[minutes.length - 1] as number)
  let at = 0
  let before = speed(0)
  let gone = 0
  let i = 0
  while (at < last || i < minutes.length) {
    const next = Math.min(at + 0.25, Math.max(last, at + 1e-9))
    const after = speed(next)
    for (; i < minutes.length && (minutes[i] as number) <= next; i++) {
      const part = ((minutes[i] as number) - at) / (next - at)
      out[i] = gone + part * (next - at) * (before + (part * (after - before)) / 2)
    }
    gone += ((next - at) * (before + after)) / 2
    at = next
    before = after
  }
  return out
}
