import { at } from '../fit/linear-algebra.ts'

/** A run at the top this long, reached abruptly, is the end of the meter's range even if nobody entered it. */
const FLAT_RUN = 30
const APPROACH = 10

/**
 * The upper end of a range nobody stated, as the record itself shows it: its own maximum, once it lay flat there after
 * running into it at speed. Takes readings in order, each once.
 */
export class SeenLimit {
  /** Infinite until the end of the range is seen. */
  limit = Number.POSITIVE_INFINITY
  private top = Number.NEGATIVE_INFINITY
  private from = -1

  take(values: Float64Array, i: number, resolution: number): void {
    const value = values[i] as number
    if (value > this.top) {
      this.top = value
      this.limit = Number.POSITIVE_INFINITY
      this.from = i
    } else if (value !== this.top) this.from = -1
    else if (this.from < 0) this.from = i
    if (this.from >= 0 && i - this.from + 1 >= FLAT_RUN && ranIntoIt(values, this.from, this.top, resolution))
      this.limit = this.top
  }
}

/** Ten readings earlier the signal was more than five steps of the display below. */
const ranIntoIt = (values: Float64Array, from: number, top: number, resolution: number): boolean =>
  from >= APPROACH && top - at(values, from - APPROACH) > 5 * resolution
