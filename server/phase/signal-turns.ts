import { blockMedians } from '../fit/block-medians.ts'
import { at } from '../fit/linear-algebra.ts'
import { type CoarseSignal, coarseSignal } from './coarse-signal.ts'
import { riseMeetsFall } from './flow-off.ts'
import { findHinge, type Hinge } from './hinge.ts'
import { lowerBound } from './lower-bound.ts'
import type { Turn } from './phase.ts'
import { turningPoints } from './turning-points.ts'

export interface SignalTurns {
  readonly turns: readonly Turn[]
  /** The record begins in the middle of a rise or of a fall. */
  readonly beginsIn?: 'rise' | 'decay'
}

/** Hinges are sought this far to each side of the coarse turn. */
const WINDOW_S = 120
/** A slow fall is noticed late: the window reaches back as far as the fall is slow. */
const LONGEST_WINDOW_S = 1200
const NEAREST_S = 15
const LOOKS = 3
/** A dip that recovers within this is an interruption of the gas, not a batch standing. */
const SHORT_DIP_S = 60
/** A purge: ozone-free gas takes at least this rate, 1/s (0.15 per min), and clearly more than standing loses. */
const PURGE_RATE = 0.15 / 60
const PURGE_OVER_DECAY = 3
const PURGE_DROP = 0.12
const LONGEST_PURGE_S = 300

/** Where the signal itself turns: bubbling begins, ozone stops, flow stops. Empty for a flat record. */
export const signalTurns = (times: Float64Array, values: Float64Array): SignalTurns => {
  const coarse = coarseSignal(times, values)
  if (coarse === undefined) return { turns: [] }
  const points = turningPoints(coarse.values, coarse.step)
  const turns: Turn[] = []
  let beginsIn: SignalTurns['beginsIn']
  for (let p = 0; p + 1 < points.length; p++) {
    const from = points[p]?.index ?? 0
    const to = points[p + 1]?.index ?? 0
    const isFirst = p === 0
    if (points[p]?.kind === 'low') {
      const onset =
        isFirst && startsAtOnce(coarse, to, 1) ? undefined : leaveTime(coarse, times, values, from, to)
      if (onset === undefined) beginsIn = 'rise'
      else turns.push({ kind: 'ozone-on', ...onset, by: 'signal' })
    } else if (isFirst && startsAtOnce(coarse, to, -1)) beginsIn = 'decay'
    else if (!isShortDip(coarse, from, to, points[p + 2]?.index)) {
      const leaves = leaveTime(coarse, times, values, from, to)
      const endS = at(coarse.times, to)
      const stops = purgeEnd(times, values, leaves.atS, endS)
      const onsetS = turns.at(-1)?.kind === 'ozone-on' ? (turns.at(-1)?.atS ?? 0) : at(coarse.times, 0)
      const met = stops === undefined ? riseMeetsFall(times, values, onsetS, leaves.atS, endS) : undefined
      const offS = met?.atS ?? leaves.atS
      const uncertainS = met?.withinS ?? leaves.uncertainS
      turns.push({ kind: 'ozone-off', atS: offS, uncertainS, by: 'signal' })
      if (stops !== undefined || !isStillPurged(coarse, from, to, offS))
        turns.push({ kind: 'flow-off', atS: stops ?? offS, uncertainS, by: 'signal' })
    } else p++
  }
  return beginsIn === undefined ? { turns } : { turns, beginsIn }
}

/** The signal already moves in its first tenth of the way: there is no quiet stretch before it. */
const startsAtOnce = (coarse: CoarseSignal, to: number, sign: 1 | -1): boolean => {
  const first = at(coarse.values, 0)
  const move = sign * (at(coarse.values, Math.min(to, 3)) - first)
  const whole = sign * (at(coarse.values, to) - first)
  const early = Math.min(3, to) / Math.max(1, to)
  return move > Math.min(coarse.step / 2, 0.5 * early * whole)
}

const isShortDip = (coarse: CoarseSignal, from: number, to: number, next: number | undefined): boolean => {
  if (next === undefined) return false
  const level = at(coarse.values, from) - coarse.step / 2
  let recovered = to
  while (recovered < next && at(coarse.values, recovered) < level) recovered++
  return at(coarse.times, recovered) - at(coarse.times, lastNear(coarse, from, to)) < 2 * SHORT_DIP_S
}

/** Last block still within half a step of the level it leaves. */
const lastNear = (coarse: CoarseSignal, from: number, to: number): number => {
  const level = at(coarse.values, from)
  let last = from
  for (let i = from; i <= to; i++) if (Math.abs(at(coarse.values, i) - level) < coarse.step / 2) last = i
  return last
}

/** First block of the unbroken stretch within half a step of the level: what came before is another movement. */
const firstNear = (coarse: CoarseSignal, from: number): number => {
  const level = at(coarse.values, from)
  let first = from
  while (first > 0 && Math.abs(at(coarse.values, first - 1) - level) < coarse.step / 2) first--
  return first
}

interface Leave {
  readonly atS: number
  readonly uncertainS: number
}

/**
 * When the signal leaves a level: hinge of two lines about the coarse place, first wide, then as near to the turn as
 * the noise allows, where curves are straight.
 */
const leaveTime = (
  coarse: CoarseSignal,
  times: Float64Array,
  values: Float64Array,
  from: number,
  to: number,
): Leave => {
  const last = lastNear(coarse, from, to)
  const rough = at(coarse.times, last)
  const limit = at(coarse.times, to)
  const arrived = at(coarse.times, firstNear(coarse, from))
  let near: Hinge | undefined
  let atS = rough
  let uncertainS = 0
  let reach = Math.max(WINDOW_S, Math.min(LONGEST_WINDOW_S, 3 * stepTime(coarse, last, from, to)))
  for (let look = 0; look < LOOKS; look++) {
    const first = Math.max(arrived, atS - reach)
    const window = readingsBetween(times, values, first, Math.min(atS + reach, limit))
    near = findHinge(
      window.times,
      window.values,
      Math.max(first, atS - 0.75 * reach),
      Math.min(atS + 0.75 * reach, limit),
    )
    if (near === undefined) return { atS, uncertainS: reach }
    atS = near.atS
    const needed = (1.5 * coarse.step) / Math.max(1e-9, Math.abs(near.after - near.before))
    uncertainS = Math.min(LONGEST_WINDOW_S, needed / 6)
    reach = Math.max(NEAREST_S, Math.min(reach, needed))
  }
  return { atS, uncertainS }
}

/** Seconds from half a step away from the level to a whole one. */
const stepTime = (coarse: CoarseSignal, last: number, from: number, to: number): number => {
  const level = at(coarse.values, from)
  let i = last
  while (i < to && Math.abs(at(coarse.values, i) - level) < coarse.step) i++
  return at(coarse.times, i) - at(coarse.times, last)
}

/** A fall that has only begun, and as fast as ozone-free gas makes it: the flow goes on. */
const isStillPurged = (coarse: CoarseSignal, from: number, to: number, offS: number): boolean => {
  const lasts = at(coarse.times, to) - offS
  const lost = Math.log(at(coarse.values, from) / Math.max(0.01, at(coarse.values, to)))
  return lasts < LONGEST_PURGE_S && lost > Math.max(PURGE_DROP, PURGE_RATE * lasts)
}

/** End of a fast first part of a fall, if there is one: a hinge in the logarithm. */
const purgeEnd = (
  times: Float64Array,
  values: Float64Array,
  fromS: number,
  toS: number,
): number | undefined => {
  const window = readingsBetween(times, values, fromS + 2, Math.min(toS, fromS + 2 * LONGEST_PURGE_S))
  if (window.values.length < 10 || window.values.some((v) => v <= 0)) return undefined
  const last = Math.min(fromS + LONGEST_PURGE_S, at(window.times, window.times.length - 1) - 10)
  const logs = window.values.map(Math.log)
  let hinge = findHinge(window.times, logs, fromS + 5, last)
  if (hinge !== undefined) {
    // a short purge is a small part of ten minutes: look again close to it, where the decay is straight
    const near = readingsBetween(times, values, fromS + 2, Math.min(toS, hinge.atS + 120))
    hinge = findHinge(near.times, near.values.map(Math.log), fromS + 5, hinge.atS + 30) ?? hinge
  }
  if (hinge === undefined) return undefined
  const isPurge =
    -hinge.before > PURGE_RATE &&
    -hinge.before > PURGE_OVER_DECAY * Math.max(0, -hinge.after) &&
    -hinge.before * (hinge.atS - fromS) > PURGE_DROP &&
    hinge.leftOver < 0.5
  return isPurge ? hinge.atS : undefined
}

const readingsBetween = (times: Float64Array, values: Float64Array, fromS: number, toS: number) => {
  const first = lowerBound(times, fromS)
  const end = Math.max(first, lowerBound(times, toS + 1e-9))
  return blockMedians(times.subarray(first, end), values.subarray(first, end), 100)
}
