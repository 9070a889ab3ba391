import { at } from '../fit/linear-algebra.ts'
import { lowerBound } from '../phase/lower-bound.ts'
import { CLIPPED, USABLE } from './aside.ts'
import type { CleanReadings } from './clean-readings.ts'
import { growingIndices, growingNumbers } from './growing.ts'

/** What phases are found from; the first `known` are what they were at the update before. */
export interface Signal {
  readonly timesS: Float64Array
  readonly values: Float64Array
  readonly known: number
}

const speaks = (code: number | undefined): boolean => code === USABLE || code === CLIPPED

/** A clipped reading still shows when a phase turns; the other set-aside ones do not. */
export class PhaseSignal {
  private readonly times = growingNumbers()
  private readonly values = growingNumbers()
  private readonly indices = growingIndices()
  /** All readings spoke so far, so that nothing had to be copied. */
  private isWhole = true

  take({ timesS, values, aside, firstNew }: CleanReadings): Signal {
    if (firstNew === 0) this.isWhole = true
    let next = firstNew
    if (this.isWhole) {
      while (next < aside.length && speaks(aside[next])) next++
      if (next === aside.length) return { timesS, values, known: firstNew }
      this.isWhole = false
      next = 0
    }
    const kept = lowerBound(this.indices.view(), next)
    for (const list of [this.times, this.values, this.indices]) list.cutTo(kept)
    for (let i = next; i < aside.length; i++) {
      if (!speaks(aside[i])) continue
      this.times.push(at(timesS, i))
      this.values.push(at(values, i))
      this.indices.push(i)
    }
    // the readings before `firstNew` were whole: as many of the list are as they were
    const known = lowerBound(this.indices.view(), firstNew)
    return { timesS: this.times.view(), values: this.values.view(), known }
  }
}
