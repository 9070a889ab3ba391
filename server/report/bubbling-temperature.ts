import { temperatureCourse, withoutTemperatureGaps } from '../analysis/batch-temperature.ts'
import { meanTemperature } from '../analysis/headline-decay.ts'
import type { AnalysisInput } from '../analysis/input.ts'

/**
 * Mean fluid temperature between two moments (ISO), °C: what a plateau belongs to; the mean of the whole batch counts the
 * warming while it stands. Undefined without a thermometer.
 */
export const temperatureBetween = (input: AnalysisInput, from: string, to: string): number | undefined => {
  const course = temperatureCourse(withoutTemperatureGaps(input))
  const atS = (iso: string) => (Date.parse(iso) * 1000 - input.startUs) / 1e6
  return course && meanTemperature(course, atS(from), atS(to))
}
