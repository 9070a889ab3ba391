/** A column of numbers that grows: eight bytes a row, doubled when full. */
export class GrowingColumn {
  private buffer = new Float64Array(4096)
  private used = 0

  get length(): number {
    return this.used
  }

  push(value: number): void {
    if (this.used === this.buffer.length) {
      const larger = new Float64Array(2 * this.used)
      larger.set(this.buffer)
      this.buffer = larger
    }
    this.buffer[this.used++] = value
  }

  values(): Float64Array {
    return this.buffer.subarray(0, this.used)
  }
}
