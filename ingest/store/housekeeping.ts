import { type Clock, wallOffsetUs } from '../clock.ts'
import { type TimeUs, timeUs } from '../units.ts'
import { HOUR_US, MINUTE_US } from './envelope-grid.ts'
import type { Retention } from './retention.ts'
import type { RollUp } from './roll-up.ts'

const DAY_US = 24 * HOUR_US

export interface HousekeepingOptions {
  readonly rollUp: RollUp
  readonly retention: Retention
  readonly clock: Clock
  /** Null: raw readings are kept for ever. */
  readonly keepRawDays: number | null
  /** Readings that arrived later are not removed yet. */
  readonly removableUpTo: () => number
  /** Nor those of this moment and after. */
  readonly removableBefore: () => TimeUs
  readonly onTrouble: (error: unknown) => void
  /** A file with many readings from before there were roll-ups: how many are left. 0: done. */
  readonly onCatchingUp: (left: number) => void
}

/** A step should hold up a commit of readings no longer than this, ms. */
const STEP_MS = 15
/** Of the time spent on steps one after another, this share is left to others. */
const REST = 4
const ROLLED_AT_MOST = 10_000
/** With so many readings waiting, a step is worth its writes; with fewer once a minute. */
const WORTH_A_STEP = 5000
const EVERY_MS = 60_000
const LOOK_MS = 1000
const TROUBLE_MS = 5000
const MANY = 100_000
const TELL_MS = 10_000
/** Time for the wall clock of a machine that has just started to be set right. */
const FIRST_PRUNING_MS = 10 * 60_000
/** A wall clock that jumped further than this is not trusted to say what is old. */
const JUMP_US = HOUR_US

/** How much to take at once, learnt from how long the last step took. */
const createMeasure = (start: number, least: number, most: number) => {
  let size = start
  return {
    size: () => size,
    learn: (tookMs: number) => {
      if (tookMs > STEP_MS) size = Math.max(least, size / 2)
      else if (tookMs < STEP_MS / 3) size = Math.min(most, size * 2)
    },
  }
}

/**
 * Work on the store that can wait: rolling up and, where the wiring says so, removing old raw readings. Each call of `step`
 * does one short transaction at most and says after how many milliseconds it wants to be called again. What is removed cannot
 * come back: nothing is for the first minutes, nor, until the next start, after the wall clock has jumped.
 */
export const createHousekeeping = (options: HousekeepingOptions) => {
  const { rollUp, retention, clock, keepRawDays } = options
  const chunk = createMeasure(1000, 100, ROLLED_AT_MOST)
  const slice = createMeasure(MINUTE_US, 1e6, DAY_US)
  let rolledAt = Number.NEGATIVE_INFINITY
  const wallAtStart = wallOffsetUs(clock)
  let pruneAt = clock.monoMs() + FIRST_PRUNING_MS
  let toldAt: number | null = null

  const timed = (measure: ReturnType<typeof createMeasure>, work: () => number) => {
    const start = performance.now()
    const done = work()
    const took = performance.now() - start
    measure.learn(took)
    return { done, restMs: Math.max(LOOK_MS / 50, REST * took) }
  }

  const tell = (left: number) => {
    const now = clock.monoMs()
    if (toldAt === null ? left < MANY : left >= WORTH_A_STEP && now - toldAt < TELL_MS) return
    options.onCatchingUp(left < WORTH_A_STEP ? 0 : left)
    toldAt = left < WORTH_A_STEP ? null : now
  }

  const roll = (): number | null => {
    const behind = rollUp.behind()
    tell(behind)
    const isTime = clock.monoMs() - rolledAt >= EVERY_MS
    if (behind === 0 || (behind < WORTH_A_STEP && !isTime)) return null
    // as large as it was taken, not as the next one will be
    const size = Math.round(chunk.size())
    const { restMs } = timed(chunk, () => rollUp.step(size))
    if (behind <= size) rolledAt = clock.monoMs()
    return restMs
  }

  const prune = (): number | null => {
    if (keepRawDays === null || clock.monoMs() < pruneAt) return null
    if (Math.abs(wallOffsetUs(clock) - wallAtStart) > JUMP_US) return null
    const before = timeUs(Math.min(clock.now() - keepRawDays * DAY_US, options.removableBefore()))
    const upToSeq = options.removableUpTo()
    const { done, restMs } = timed(slice, () =>
      retention.slice({ before, sliceUs: slice.size(), sparing: true, upToSeq }),
    )
    if (done === 0) pruneAt = clock.monoMs() + EVERY_MS
    return done === 0 ? null : restMs
  }

  const step = (): number => {
    try {
      return roll() ?? prune() ?? LOOK_MS
    } catch (error) {
      options.onTrouble(error)
      return TROUBLE_MS
    }
  }
  return { step }
}

/** Runs the steps until the returned function is called. */
export const startHousekeeping = (options: HousekeepingOptions): (() => void) => {
  const { step } = createHousekeeping(options)
  let timer = setTimeout(again, LOOK_MS)
  function again() {
    timer = setTimeout(again, step())
  }
  return () => clearTimeout(timer)
}
