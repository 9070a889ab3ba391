import type { Action, ActionInput } from './action.ts'
import type { ActionResult } from './apply-action.ts'
import { createSimulatedBench, type SimulatedSample } from './bench-simulator.ts'
import type { ReadyScript } from './script.ts'

export interface TimedAction {
  readonly atS: number
  readonly action: Action
}

/** A bench that follows a script. Time only moves forward: a call for an earlier time is one for now. */
export interface Player {
  /** Plays what is due and reads the instruments. */
  sampleAt(atS: number): SimulatedSample
  /** Plays what is due, then does this as well. */
  applyAt(atS: number, action: ActionInput): ActionResult
}

export type OnRefused = (event: TimedAction, why: string) => void

export const createPlayer = (script: ReadyScript, onRefused: OnRefused): Player => {
  const bench = createSimulatedBench(script.settings, script.seed)
  const due = eventsInTime(script)
  let next = due.next()
  let nowS = 0
  const moveTo = (atS: number): void => {
    if (atS <= nowS) return
    bench.step(atS - nowS)
    nowS = atS
  }
  const playUntil = (atS: number): void => {
    while (!next.done && next.value.atS <= atS) {
      moveTo(next.value.atS)
      const result = bench.apply(next.value.action)
      if (!result.ok) onRefused(next.value, result.why)
      next = due.next()
    }
    moveTo(atS)
  }
  return {
    sampleAt(atS) {
      playUntil(atS)
      // The sum of many steps is a hair off; the asked time is exact.
      return { ...bench.readings(), atS }
    },
    applyAt(atS, action) {
      playUntil(atS)
      return bench.apply(action)
    },
  }
}

function* eventsInTime({ events, repeatEveryS }: ReadyScript): Generator<TimedAction> {
  yield* events
  if (repeatEveryS === undefined || events.length === 0) return
  for (let round = 1; ; round++) {
    for (const { atS, action } of events) yield { atS: atS + round * repeatEveryS, action }
  }
}
