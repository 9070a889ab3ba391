/** A hundred benches hold hundreds of these: little room is kept for what may come. */
const GROWTH = 1.5

/** A growing column of numbers, kept as one typed array so that fits can run on it without copying boxes. */
export class Column {
  private values: Float64Array
  private used = 0

  constructor(capacity = 1024) {
    this.values = new Float64Array(capacity)
  }

  get length(): number {
    return this.used
  }

  push(value: number): void {
    if (this.used === this.values.length) {
      const larger = new Float64Array(Math.ceil(this.values.length * GROWTH))
      larger.set(this.values)
      this.values = larger
    }
    this.values[this.used] = value
    this.used += 1
  }

  /** A view on what is there: valid until the next push. */
  view(): Float64Array {
    return this.values.subarray(0, this.used)
  }

  last(): number | undefined {
    return this.used === 0 ? undefined : this.values[this.used - 1]
  }

  dropFirst(count: number): void {
    this.values.copyWithin(0, count, this.used)
    this.used -= count
  }
}
