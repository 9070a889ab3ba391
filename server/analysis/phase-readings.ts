import { BinnedReadings } from '../fit/binned-readings.ts'
import { at } from '../fit/linear-algebra.ts'
import { lowerBound } from '../phase/lower-bound.ts'
import type { Phase } from '../phase/phase.ts'
import { CLIPPED, USABLE } from './aside.ts'
import type { CleanReadings } from './clean-readings.ts'
import { growingIndices, growingNumbers } from './growing.ts'

/** The usable readings of one phase: minutes since its start, mg/L, and where each stands in the whole record. */
export interface PhaseReadings {
  readonly times: Float64Array
  readonly values: Float64Array
  readonly indices: Int32Array
  /** The same in bins, as the fit before left them. */
  readonly binned: BinnedReadings
  /** The highest reading at an end of the range and when it was first met, when the phase met it. */
  readonly clipped?: { readonly level: number; readonly fromMinutes: number; readonly untilMinutes: number }
}

/**
 * Usable readings of a phase between two cuts in minutes. A rise is cut where clipping begins and a fall where it ends:
 * dropping clipped readings one by one would keep only the low ones near the limit. From update to update only new
 * readings are looked at while the cuts stay where they are.
 */
export class GrowingPhase {
  private cuts = ''
  private end = 0
  private readonly times = growingNumbers()
  private readonly values = growingNumbers()
  private readonly indices = growingIndices()
  private readonly binned = new BinnedReadings()

  take(readings: CleanReadings, phase: Phase, fromMinutes: number): PhaseReadings {
    const { timesS, values, aside } = readings
    const end = lowerBound(timesS, phase.endS)
    const first = lowerBound(timesS, phase.startS)
    const clipped = clippedStretch(readings, phase, first, end)
    const from = phase.kind === 'rise' ? fromMinutes : Math.max(fromMinutes, clipped?.untilMinutes ?? 0)
    const to =
      phase.kind === 'rise' ? (clipped?.fromMinutes ?? Number.POSITIVE_INFINITY) : Number.POSITIVE_INFINITY
    const cuts = JSON.stringify([phase.startS, from, to])
    const known = cuts === this.cuts ? Math.max(first, Math.min(readings.firstNew, this.end, end)) : first
    const kept = cuts === this.cuts ? lowerBound(this.indices.view(), known) : 0
    this.cuts = cuts
    this.end = end
    for (const list of [this.times, this.values, this.indices]) list.cutTo(kept)
    this.binned.keepOnly(kept)
    for (let i = known; i < end; i++) {
      const minutes = ((timesS[i] as number) - phase.startS) / 60
      if (minutes < from || minutes >= to || aside[i] !== USABLE) continue
      this.indices.push(i)
      this.times.push(minutes)
      this.values.push(values[i] as number)
    }
    const found = { times: this.times.view(), values: this.values.view(), indices: this.indices.view() }
    return { ...found, binned: this.binned, ...(clipped === undefined ? {} : { clipped }) }
  }
}

/** A single reading at full scale is a spike; this many in a row are the end of the range. */
const RUN = 3
/** Near the limit noise alone clips some readings: from the first of them on, only the low ones are left. */
const NEAR_LIMIT_S = 30

const clippedStretch = (readings: CleanReadings, phase: Phase, first: number, end: number) => {
  const firstClipped = readings.aside.indexOf(CLIPPED, first)
  const minutes = (i: number) => (at(readings.timesS, i) - phase.startS) / 60
  let from = -1
  let last = -1
  let run = 0
  if (firstClipped < 0 || firstClipped >= end) return undefined
  for (let i = firstClipped; i < end; i++) {
    run = readings.aside[i] === CLIPPED ? run + 1 : 0
    if (run < RUN) continue
    if (from < 0) from = i - RUN + 1
    last = i
  }
  for (let i = from - 1; i >= first && at(readings.timesS, from) - at(readings.timesS, i) < NEAR_LIMIT_S; i--)
    if (readings.aside[i] === CLIPPED) from = i
  if (from < 0) return undefined
  let level = readings.fullScale ?? at(readings.values, from)
  for (let i = from; i <= last; i++)
    if (readings.aside[i] === CLIPPED) level = Math.min(level, at(readings.values, i))
  // one second of margin: the reading before the limit was met may already be pressed against it
  return {
    level,
    fromMinutes: minutes(from) - 1 / 60,
    untilMinutes: minutes(last) + 2 / 60,
  }
}
