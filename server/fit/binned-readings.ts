import { curveAt, type ModelAt } from './binned-model.ts'
import { at } from './linear-algebra.ts'
import { outlierLimit, pick, sampleOf, smallestStep } from './outliers.ts'
import { type BinSums, binStarts, binWidth, sumsOf } from './reading-bins.ts'

/** A fitted curve, to be read at any times. */
export interface Curve {
  readonly modelAt: ModelAt
  readonly rate: number
  readonly linear: Float64Array
}

/** How a bin stood when its readings were last looked at one by one. */
interface Look {
  /** The curve then, at the bin's first, middle and last reading. */
  readonly curve: Float64Array
  readonly furthestKept: number
  readonly nearestOut: number
  readonly outliers: number
}

/**
 * The readings of one fit in bins, outliers marked. Kept from update to update it costs what the new readings cost:
 * only bins that grew, or in which the curve or the limit moved so far that a mark could change, are looked at again.
 * What it gives is what a new one gives for the same readings.
 */
export class BinnedReadings {
  times: Float64Array = new Float64Array(0)
  private values: Float64Array = new Float64Array(0)
  /** Readings looked at one by one since this was made. */
  touched = 0
  private marks = new Uint8Array(0)
  private known = 0
  private measured = 0
  private resolution = Number.POSITIVE_INFINITY
  private width = 0
  private breaks = ''
  private readonly starts: number[] = []
  private readonly sums: (BinSums | undefined)[] = []
  private readonly looks: Look[] = []

  /** Readings from the n-th on are not what they were at the last `take`. */
  keepOnly(n: number): void {
    this.known = Math.min(this.known, n)
  }

  /** The readings now; all that were taken before and not given up since begin them. */
  take(times: Float64Array, values: Float64Array, breaks: readonly number[] = []): void {
    const known = Math.min(this.known, times.length)
    const before = known < this.measured ? Number.POSITIVE_INFINITY : this.resolution
    this.resolution = Math.min(before, smallestStep(values, known < this.measured ? 0 : known))
    this.measured = times.length
    this.known = times.length
    const width = binWidth(times)
    const isOther = width !== this.width || breaks.join() !== this.breaks
    const kept = isOther ? 0 : this.finishedBins(known)
    const from = this.starts[kept] ?? 0
    this.times = times
    this.values = values
    this.width = width
    this.breaks = breaks.join()
    this.makeRoom(times.length)
    for (const list of [this.starts, this.sums, this.looks]) list.length = Math.min(list.length, kept)
    for (const start of binStarts(times, kept === 0 ? 0 : from, width, breaks)) this.starts.push(start)
  }

  /** Marks what stands out from a curve by more than its limit; gives how many do. */
  mark(curve: Curve): number {
    const limit = this.limitFor(curve)
    const points = this.pointsOf(curve)
    let from = -1
    for (let b = 0; b <= this.starts.length; b++) {
      const isDue = b < this.starts.length && this.couldChange(b, points, limit)
      if (isDue && from < 0) from = b
      if (isDue || from < 0) continue
      this.lookAt(from, b, curve, points, limit)
      from = -1
    }
    return this.looks.reduce((sum, look) => sum + look.outliers, 0)
  }

  /** Sums of the bins that have readings left. */
  bins(): BinSums[] {
    return this.sums.filter((sums) => sums !== undefined)
  }

  /** 1 where a reading is marked. A copy. */
  outliers(): Uint8Array {
    return this.marks.slice(0, this.times.length)
  }

  /** A bin is finished when a reading that stays as it is begins the next one. */
  private finishedBins(known: number): number {
    let count = this.starts.length
    while (count > 0 && (this.starts[count - 1] as number) >= known) count--
    return Math.max(0, count - 1)
  }

  private makeRoom(n: number): void {
    if (n <= this.marks.length) return
    const larger = new Uint8Array(Math.max(n, 2 * this.marks.length))
    larger.set(this.marks)
    this.marks = larger
  }

  private endOf(b: number): number {
    return this.starts[b + 1] ?? this.times.length
  }

  /** The curve at the first, middle and last reading of every bin. */
  private pointsOf({ modelAt, rate, linear }: Curve): Float64Array {
    const times = new Float64Array(3 * this.starts.length)
    this.starts.forEach((start, b) => {
      const last = this.endOf(b) - 1
      times[3 * b] = at(this.times, start)
      times[3 * b + 1] = at(this.times, (start + last) >> 1)
      times[3 * b + 2] = at(this.times, last)
    })
    return curveAt(modelAt(times), rate, linear)
  }

  private limitFor({ modelAt, rate, linear }: Curve): number {
    const sample = sampleOf(this.times.length)
    const curve = curveAt(modelAt(pick(this.times, sample)), rate, linear)
    const residuals = pick(this.values, sample).map((value, k) => value - at(curve, k))
    return outlierLimit(residuals, Number.isFinite(this.resolution) ? this.resolution : 0)
  }

  /** Whether the curve has moved, or the limit, by as much as the nearest reading of a bin is away from the limit. */
  private couldChange(b: number, points: Float64Array, limit: number): boolean {
    const look = this.looks[b]
    if (look === undefined) return true
    const first = at(points, 3 * b) - at(look.curve, 0)
    const middle = at(points, 3 * b + 1) - at(look.curve, 1)
    const last = at(points, 3 * b + 2) - at(look.curve, 2)
    // between three points a smooth difference goes no further than its bend
    const bend = Math.abs(first - 2 * middle + last)
    const moved = Math.max(Math.abs(first), Math.abs(middle), Math.abs(last)) + bend
    return look.furthestKept + moved > limit || look.nearestOut - moved <= limit
  }

  private lookAt(from: number, to: number, curve: Curve, points: Float64Array, limit: number): void {
    const first = this.starts[from] as number
    const end = this.endOf(to - 1)
    this.touched += end - first
    const values = curveAt(curve.modelAt(this.times.subarray(first, end)), curve.rate, curve.linear)
    for (let b = from; b < to; b++) {
      let furthestKept = 0
      let nearestOut = Number.POSITIVE_INFINITY
      let outliers = 0
      for (let i = this.starts[b] as number; i < this.endOf(b); i++) {
        const size = Math.abs((this.values[i] as number) - (values[i - first] as number))
        const isOut = size > limit
        this.marks[i] = isOut ? 1 : 0
        if (isOut) {
          outliers++
          nearestOut = Math.min(nearestOut, size)
        } else furthestKept = Math.max(furthestKept, size)
      }
      this.looks[b] = { curve: points.slice(3 * b, 3 * b + 3), furthestKept, nearestOut, outliers }
      this.sums[b] = sumsOf(this.times, this.values, this.marks, this.starts[b] as number, this.endOf(b))
    }
  }
}
