import { at } from '../fit/linear-algebra.ts'
import { resolutionOf } from '../fit/outliers.ts'
import { type AsideCodes, CLIPPED, codeOf, USABLE } from './aside.ts'
import { clippedAtTop } from './clipping.ts'
import type { AnalysisEvent, AnalysisInput } from './input.ts'

/** The readings of a batch with a verdict on each: fit for use, or set aside and why. Times in s since the start. */
export interface CleanReadings {
  readonly timesS: Float64Array
  readonly values: Float64Array
  /** Per reading: usable, or the code of why no fit may use it. */
  readonly aside: AsideCodes
  readonly resolution: number
  /** Upper end of the meter's range, when stated. */
  readonly fullScale?: number
  readonly notes: readonly string[]
}

const IMPOSSIBLE = codeOf('impossible')
const REPEATED = codeOf('repeated')
const PROBE_OUT = codeOf('probe-out')

/** A meter that repeats one value this long while the batch changes has stopped measuring. */
const STUCK_S = 120
/** A reading this far below zero is a fault, not noise. */
const LOWEST_POSSIBLE = -2

/** Drops cells without a number and marks readings that cannot be used: clipped, stuck, impossible, probe out. */
export const cleanReadings = (input: AnalysisInput): CleanReadings => {
  const kept = numbered(input.potencyMgPerL)
  const pick = (values: Float64Array) =>
    kept === undefined ? values : values.filter((_, i) => kept[i] === 1)
  const timesS = pick(input.timesS)
  const values = pick(input.potencyMgPerL)
  const resolution = resolutionOf(values)
  const aside = new Uint8Array(values.length)
  const clipped = kept === undefined ? input.clipped : input.clipped?.filter((_, i) => kept[i] === 1)
  markClipped(values, clippedAtTop(values, resolution, clipped, input.rangeMaxMgPerL), aside)
  markImpossible(timesS, values, input, aside)
  if (input.readingUPercent === undefined) markStuck(timesS, values, resolution, aside)
  markProbeOut(timesS, input.events, aside)
  const notes = impossibleNotes(input, values, aside)
  const fullScale = input.rangeMaxMgPerL
  return { timesS, values, aside, resolution, notes, ...(fullScale === undefined ? {} : { fullScale }) }
}

/** 1 where there is a number; undefined when there is one everywhere. */
const numbered = (values: Float64Array): Uint8Array | undefined => {
  const kept = new Uint8Array(values.length)
  let count = 0
  for (let i = 0; i < values.length; i++) {
    const has = Number.isFinite(values[i]) ? 1 : 0
    kept[i] = has
    count += has
  }
  return count === values.length ? undefined : kept
}

const markClipped = (values: Float64Array, clipped: Uint8Array | undefined, aside: AsideCodes): void => {
  if (clipped === undefined) return
  for (let i = 0; i < values.length; i++) if (clipped[i] === 1) aside[i] = CLIPPED
}

/** Impossible readings are named with their likely causes; nothing is dropped in silence. */
const impossibleNotes = (input: AnalysisInput, values: Float64Array, aside: AsideCodes): string[] => {
  let high = 0
  let low = 0
  for (let i = 0; i < aside.length; i++) {
    if (aside[i] !== IMPOSSIBLE) continue
    if (at(values, i) < 0) low++
    else high++
  }
  const gas = input.expectation?.gas.ugPerMl
  return [
    ...(high === 0
      ? []
      : [
          `${high} readings above what the gas can hold (${gas} µg/mL): wrong unit or scale, wrong word order, or gas value too low`,
        ]),
    ...(low === 0 ? [] : [`${low} readings far below zero: probe fault, wrong zero, or wrong word order`]),
  ]
}

/** More ozone than the gas can hold, or clearly less than none. */
const markImpossible = (
  timesS: Float64Array,
  values: Float64Array,
  input: AnalysisInput,
  aside: AsideCodes,
): void => {
  const ceiling = (input.expectation?.gas.ugPerMl ?? Number.POSITIVE_INFINITY) * 1.1
  for (let i = 0; i < timesS.length; i++) {
    const value = values[i] as number
    if (aside[i] === USABLE && (value < LOWEST_POSSIBLE || value > ceiling)) aside[i] = IMPOSSIBLE
  }
}

/** One value repeated for two minutes in a record that otherwise moves. */
const markStuck = (
  timesS: Float64Array,
  values: Float64Array,
  resolution: number,
  aside: AsideCodes,
): void => {
  if (resolution === 0) return
  let from = 0
  for (let i = 1; i <= values.length; i++) {
    if (i < values.length && values[i] === values[from]) continue
    if (i - from <= 10) {
      from = i
      continue
    }
    const lasted = (timesS[i - 1] as number) - (timesS[from] as number)
    const isIdle = Math.abs(at(values, from)) < 5 * resolution
    if (lasted >= STUCK_S && !isIdle && jumpsAway(values, i, resolution))
      for (let j = from + 1; j < i; j++) if (aside[j] === USABLE) aside[j] = REPEATED
    from = i
  }
}

/** After a stuck value the reading leaves it by more than a step of the display, or the record ends in it. */
const jumpsAway = (values: Float64Array, next: number, resolution: number): boolean =>
  next >= values.length || Math.abs(at(values, next) - at(values, next - 1)) > 1.5 * resolution

const markProbeOut = (timesS: Float64Array, events: readonly AnalysisEvent[], aside: AsideCodes): void => {
  const moves = events
    .filter((e) => e.kind === 'probe-in' || e.kind === 'probe-out')
    .sort((a, b) => a.atS - b.atS)
  if (moves.length === 0) return
  let next = 0
  let isOut = moves[0]?.kind === 'probe-in'
  for (let i = 0; i < timesS.length; i++) {
    while (next < moves.length && (moves[next]?.atS ?? 0) <= at(timesS, i)) {
      isOut = moves[next]?.kind === 'probe-out'
      next++
    }
    if (isOut && aside[i] === USABLE) aside[i] = PROBE_OUT
  }
}
