import { at } from '../fit/linear-algebra.ts'
import { smallestStep } from '../fit/outliers.ts'
import { type AsideCodes, CLIPPED, codeOf, USABLE } from './aside.ts'
import { SeenLimit } from './clipping.ts'
import { growingCodes, growingNumbers } from './growing.ts'
import type { AnalysisEvent, AnalysisInput } from './input.ts'
import { beginsWith } from './same-values.ts'
import { markStuck } from './stuck.ts'

/** The readings of a batch with a verdict on each: fit for use, or set aside and why. Times in s since the start. */
export interface CleanReadings {
  readonly timesS: Float64Array
  readonly values: Float64Array
  /** Per reading: usable, or the code of why no fit may use it. */
  readonly aside: AsideCodes
  /** The readings before this one are what they were at the update before, marks included. */
  readonly firstNew: number
  readonly resolution: number
  /** Upper end of the meter's range, when stated. */
  readonly fullScale?: number
  readonly notes: readonly string[]
}

const IMPOSSIBLE = codeOf('impossible')
const PROBE_OUT = codeOf('probe-out')

/** A reading this far below zero is a fault, not noise. */
const LOWEST_POSSIBLE = -2

/**
 * Drops cells without a number and marks readings that cannot be used: clipped, stuck, impossible, probe out. Goes on
 * from the update before when all it knew is still so, else starts again; either way the marks are the same.
 */
export class Cleaner {
  private settings = ''
  private readonly timesS = growingNumbers()
  private readonly values = growingNumbers()
  private readonly clipped = growingCodes()
  private readonly aside = growingCodes()
  private seen = new SeenLimit()
  private smallest = Number.POSITIVE_INFINITY
  private lastRun = 0

  take(input: AnalysisInput): CleanReadings {
    const finite = beginsWith(input.potencyMgPerL, this.values.view()) ? this.values.length : 0
    const given = withNumbers(input, finite)
    const settings = settingsOf(input)
    if (settings !== this.settings || !this.isGrown(given)) this.cutTo(0)
    this.settings = settings
    const known = this.timesS.length
    for (let i = known; i < given.timesS.length; i++) {
      this.timesS.push(at(given.timesS, i))
      this.values.push(at(given.values, i))
      this.clipped.push(given.clipped?.[i] ?? 0)
    }
    const firstNew = this.markFrom(known, input)
    const fullScale = input.rangeMaxMgPerL
    return {
      timesS: this.timesS.view(),
      values: this.values.view(),
      aside: this.aside.view(),
      firstNew,
      resolution: this.resolution(),
      notes: impossibleNotes(input, this.values.view(), this.aside.view()),
      ...(fullScale === undefined ? {} : { fullScale }),
    }
  }

  private isGrown({ timesS, values, clipped }: Numbered): boolean {
    return (
      beginsWith(values, this.values.view()) &&
      beginsWith(timesS, this.timesS.view()) &&
      (clipped === undefined ? !this.clipped.view().includes(1) : beginsWith(clipped, this.clipped.view()))
    )
  }

  private cutTo(length: number): void {
    for (const list of [this.timesS, this.values, this.clipped, this.aside]) list.cutTo(length)
    this.smallest = Number.POSITIVE_INFINITY
    this.seen = new SeenLimit()
    this.lastRun = 0
  }

  private resolution(): number {
    return Number.isFinite(this.smallest) ? this.smallest : 0
  }

  /** Marks the new readings, and all of them when a new one changes what the marks go by. Gives the first it looked at. */
  private markFrom(known: number, input: AnalysisInput): number {
    const values = this.values.view()
    const { smallest } = this
    const { limit } = this.seen
    this.smallest = Math.min(smallest, smallestStep(values, known))
    const isFiner = this.smallest !== smallest
    if (isFiner) this.seen = new SeenLimit()
    for (let i = isFiner ? 0 : known; i < values.length; i++) this.seen.take(values, i, this.resolution())
    const from = isFiner || this.seen.limit !== limit ? 0 : Math.min(this.lastRun, known)
    const before = this.aside.view().slice(from)
    this.aside.cutTo(from)
    const clipped = this.clipped.view()
    const full = input.rangeMaxMgPerL
    const range = {
      top: full === undefined ? this.seen.limit : full - this.resolution() / 2,
      ceiling: ceilingOf(input),
    }
    for (let i = from; i < values.length; i++)
      this.aside.push(clipped[i] === 1 ? CLIPPED : rangeCode(values[i] as number, range))
    const aside = this.aside.view()
    this.lastRun =
      input.readingUPercent === undefined
        ? markStuck(this.timesS.view(), values, this.resolution(), aside, from)
        : values.length
    this.markProbeOut(input.events, from)
    let same = 0
    while (same < before.length && before[same] === aside[from + same]) same++
    return from + same
  }

  private markProbeOut(events: readonly AnalysisEvent[], from: number): void {
    const moves = probeMoves(events)
    if (moves.length === 0) return
    const timesS = this.timesS.view()
    const aside = this.aside.view()
    let next = 0
    let isOut = moves[0]?.kind === 'probe-in'
    for (let i = from; i < timesS.length; i++) {
      while (next < moves.length && (moves[next]?.atS ?? 0) <= at(timesS, i)) {
        isOut = moves[next]?.kind === 'probe-out'
        next++
      }
      if (isOut && aside[i] === USABLE) aside[i] = PROBE_OUT
    }
  }
}

const settingsOf = (input: AnalysisInput): string =>
  JSON.stringify([
    input.rangeMaxMgPerL,
    ceilingOf(input),
    input.readingUPercent === undefined,
    probeMoves(input.events),
  ])

const probeMoves = (events: readonly AnalysisEvent[]): AnalysisEvent[] =>
  events.filter((e) => e.kind === 'probe-in' || e.kind === 'probe-out').sort((a, b) => a.atS - b.atS)

const rangeCode = (value: number, { top, ceiling }: { top: number; ceiling: number }): number => {
  if (value >= top) return CLIPPED
  return value < LOWEST_POSSIBLE || value > ceiling ? IMPOSSIBLE : USABLE
}

/** More ozone than the gas can hold. */
const ceilingOf = (input: AnalysisInput): number => (strongestGas(input) ?? Number.POSITIVE_INFINITY) * 1.1

/** In whole tens where it is measured: it must not move with every reading of the gas. */
const strongestGas = ({ expectation: given }: AnalysisInput): number | undefined => {
  const measured = given?.measured?.gasUgPerNml
  if (measured === undefined) return given?.gas.ugPerMl
  return Math.max(10 * Math.ceil(measured / 10), given?.recorded?.gas?.ugPerMl ?? 0)
}

interface Numbered {
  readonly timesS: Float64Array
  readonly values: Float64Array
  readonly clipped: Uint8Array | undefined
}

/** The cells with a number; the first `finite` are known to have one. */
const withNumbers = ({ timesS, potencyMgPerL, clipped }: AnalysisInput, finite: number): Numbered => {
  const n = potencyMgPerL.length
  let first = finite
  while (first < n && Number.isFinite(potencyMgPerL[first])) first++
  if (first === n) return { timesS, values: potencyMgPerL, clipped }
  const kept = { timesS: new Float64Array(n), values: new Float64Array(n), clipped: new Uint8Array(n) }
  let count = 0
  for (let i = 0; i < n; i++) {
    if (!Number.isFinite(potencyMgPerL[i])) continue
    kept.timesS[count] = timesS[i] as number
    kept.values[count] = potencyMgPerL[i] as number
    kept.clipped[count++] = clipped?.[i] ?? 0
  }
  return {
    timesS: kept.timesS.subarray(0, count),
    values: kept.values.subarray(0, count),
    clipped: clipped && kept.clipped.subarray(0, count),
  }
}

/** Impossible readings are named with their likely causes; nothing is dropped in silence. */
const impossibleNotes = (input: AnalysisInput, values: Float64Array, aside: AsideCodes): string[] => {
  let high = 0
  let low = 0
  for (let i = aside.indexOf(IMPOSSIBLE); i >= 0; i = aside.indexOf(IMPOSSIBLE, i + 1)) {
    if (at(values, i) < 0) low++
    else high++
  }
  const gas = strongestGas(input)
  return [
    ...(high === 0
      ? []
      : [
          `${high} readings above what the gas can hold (${gas} µg/mL): wrong unit or scale, wrong word order, or gas value too low`,
        ]),
    ...(low === 0 ? [] : [`${low} readings far below zero: probe fault, wrong zero, or wrong word order`]),
  ]
}
