import { at, hasGap } from '../fit/linear-algebra.ts'
import type { TemperatureCourse } from '../model/warped-time.ts'
import { lowerBound } from '../phase/lower-bound.ts'
import type { Phase } from '../phase/phase.ts'
import type { AnalysisInput } from './input.ts'

/** A phase is covered by the thermometer when a reading lies this near its start and its end. */
const NEAR_S = 300

/** The thermometer's readings without gaps, when they cover a phase. */
export const temperatureOver = (input: AnalysisInput, phase: Phase): TemperatureCourse | undefined => {
  const course = temperatureCourse(input)
  if (course === undefined) return undefined
  const near = (s: number) => {
    const i = lowerBound(course.timesS, s - NEAR_S)
    return i < course.timesS.length && at(course.timesS, i) <= s + NEAR_S
  }
  const lastNeeded = Math.min(phase.endS, Math.max(input.timesS.at(-1) ?? 0, phase.startS))
  return near(phase.startS) && near(lastNeeded) ? course : undefined
}

/** The thermometer's readings, when there are any. */
export const temperatureCourse = ({ temperature }: AnalysisInput): TemperatureCourse | undefined =>
  temperature === undefined || temperature.celsius.length === 0 ? undefined : temperature

/** The input with the thermometer's cells without a number left out, so that nothing after has to look again. */
export const withoutTemperatureGaps = (input: AnalysisInput): AnalysisInput => {
  if (input.temperature === undefined) return input
  const { timesS, celsius } = input.temperature
  if (!hasGap(celsius)) return input
  const kept = { timesS: new Float64Array(celsius.length), celsius: new Float64Array(celsius.length) }
  let count = 0
  for (let i = 0; i < celsius.length; i++) {
    if (Number.isNaN(celsius[i])) continue
    kept.timesS[count] = timesS[i] as number
    kept.celsius[count++] = celsius[i] as number
  }
  const numbers = { timesS: kept.timesS.subarray(0, count), celsius: kept.celsius.subarray(0, count) }
  return { ...input, temperature: numbers }
}

/** A fluid changes its temperature slowly: this many readings show its range. */
const LOOKED_AT = 300

/** Lowest and highest fluid temperature within a phase. */
export const temperatureRange = (
  course: TemperatureCourse,
  phase: Phase,
): readonly [number, number] | undefined => {
  let low = Number.POSITIVE_INFINITY
  let high = Number.NEGATIVE_INFINITY
  const end = lowerBound(course.timesS, phase.endS)
  const start = lowerBound(course.timesS, phase.startS)
  const stride = Math.max(1, Math.floor((end - start) / LOOKED_AT))
  for (let i = start; i < end; i += stride) {
    low = Math.min(low, at(course.celsius, i))
    high = Math.max(high, at(course.celsius, i))
  }
  return low <= high ? [low, high] : undefined
}
