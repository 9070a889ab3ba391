import { at } from '../fit/linear-algebra.ts'
import type { TemperatureCourse } from '../model/warped-time.ts'
import type { Phase } from '../phase/phase.ts'
import type { AnalysisInput } from './input.ts'

/** A phase is covered by the thermometer when a reading lies this near its start and its end. */
const NEAR_S = 300

/** The thermometer's readings without gaps, when they cover a phase. */
export const temperatureOver = (input: AnalysisInput, phase: Phase): TemperatureCourse | undefined => {
  const course = temperatureCourse(input)
  if (course === undefined) return undefined
  const near = (s: number) => course.timesS.some((t) => Math.abs(t - s) < NEAR_S)
  const lastNeeded = Math.min(phase.endS, Math.max(input.timesS.at(-1) ?? 0, phase.startS))
  return near(phase.startS) && near(lastNeeded) ? course : undefined
}

/** All readings of the thermometer that carry a number. */
export const temperatureCourse = ({ temperature }: AnalysisInput): TemperatureCourse | undefined => {
  if (temperature === undefined) return undefined
  const { timesS, celsius } = temperature
  if (!celsius.some(Number.isNaN)) return celsius.length === 0 ? undefined : temperature
  const has = (_: number, i: number) => !Number.isNaN(at(celsius, i))
  const kept = { timesS: timesS.filter(has), celsius: celsius.filter(has) }
  return kept.celsius.length === 0 ? undefined : kept
}

/** Lowest and highest fluid temperature within a phase. */
export const temperatureRange = (
  course: TemperatureCourse,
  phase: Phase,
): readonly [number, number] | undefined => {
  let low = Number.POSITIVE_INFINITY
  let high = Number.NEGATIVE_INFINITY
  for (let i = 0; i < course.timesS.length; i++) {
    const t = at(course.timesS, i)
    if (t < phase.startS || t >= phase.endS) continue
    low = Math.min(low, at(course.celsius, i))
    high = Math.max(high, at(course.celsius, i))
  }
  return low <= high ? [low, high] : undefined
}
