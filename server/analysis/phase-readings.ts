import { at } from '../fit/linear-algebra.ts'
import { lowerBound } from '../phase/lower-bound.ts'
import type { Phase } from '../phase/phase.ts'
import type { CleanReadings } from './clean-readings.ts'

/** The usable readings of one phase: minutes since its start, mg/L, and where each stands in the whole record. */
export interface PhaseReadings {
  readonly times: Float64Array
  readonly values: Float64Array
  readonly indices: Int32Array
  /** The highest reading at an end of the range and when it was first met, when the phase met it. */
  readonly clipped?: { readonly level: number; readonly fromMinutes: number; readonly untilMinutes: number }
}

/**
 * Usable readings of a phase between two cuts in minutes. A rise is cut where clipping begins and a fall where it ends:
 * dropping clipped readings one by one would keep only the low ones near the limit.
 */
export const phaseReadings = (
  readings: CleanReadings,
  phase: Phase,
  fromMinutes = 0,
  toMinutes = Number.POSITIVE_INFINITY,
): PhaseReadings => {
  const { timesS, values, aside } = readings
  const first = lowerBound(timesS, phase.startS)
  const end = lowerBound(timesS, phase.endS)
  const clipped = clippedStretch(readings, phase, first, end)
  const from = phase.kind === 'rise' ? fromMinutes : Math.max(fromMinutes, clipped?.untilMinutes ?? 0)
  const to = phase.kind === 'rise' ? Math.min(toMinutes, clipped?.fromMinutes ?? toMinutes) : toMinutes
  const indices: number[] = []
  for (let i = first; i < end; i++) {
    const minutes = (at(timesS, i) - phase.startS) / 60
    if (minutes >= from && minutes < to && aside[i] === undefined) indices.push(i)
  }
  return {
    times: Float64Array.from(indices, (i) => (at(timesS, i) - phase.startS) / 60),
    values: Float64Array.from(indices, (i) => at(values, i)),
    indices: Int32Array.from(indices),
    ...(clipped === undefined ? {} : { clipped }),
  }
}

/** A single reading at full scale is a spike; this many in a row are the end of the range. */
const RUN = 3

const clippedStretch = (readings: CleanReadings, phase: Phase, first: number, end: number) => {
  const minutes = (i: number) => (at(readings.timesS, i) - phase.startS) / 60
  let from = -1
  let last = -1
  let run = 0
  for (let i = first; i < end; i++) {
    run = readings.aside[i] === 'clipped' ? run + 1 : 0
    if (run < RUN) continue
    if (from < 0) from = i - RUN + 1
    last = i
  }
  if (from < 0) return undefined
  // one second of margin: the reading before the limit was met may already be pressed against it
  return {
    level: at(readings.values, from),
    fromMinutes: minutes(from) - 1 / 60,
    untilMinutes: minutes(last) + 2 / 60,
  }
}
