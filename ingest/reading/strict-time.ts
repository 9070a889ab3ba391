import { type TimeUs, timeUs } from '../units.ts'
import { type NewReading, type SeriesKey, seriesName } from './reading.ts'

/**
 * Keeps times strictly increasing per series, because series + time is a reading's identity: a tie, or a wall
 * clock that stepped back, moves the later reading to just after the earlier one, and `movedUs` says by how much.
 * Intervals come from uptime, so moving a time changes no fit.
 */
export const createStrictTime = (newest: (series: SeriesKey) => TimeUs | undefined) => {
  const last = new Map<string, number>()
  return (reading: NewReading): NewReading => {
    const name = seriesName(reading.series)
    const before = last.get(name) ?? newest(reading.series) ?? Number.NEGATIVE_INFINITY
    const at = Math.max(reading.timeUs, before + 1)
    last.set(name, at)
    return at === reading.timeUs ? reading : { ...reading, timeUs: timeUs(at), movedUs: at - reading.timeUs }
  }
}
