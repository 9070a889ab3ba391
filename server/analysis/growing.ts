/** A list of numbers in one buffer that grows; what was taken from it stays as it was until it is cut. */
export class Growing<T extends Float64Array | Uint8Array | Int32Array> {
  length = 0
  private buffer: T
  private readonly ofSize: (size: number) => T

  constructor(ofSize: (size: number) => T) {
    this.ofSize = ofSize
    this.buffer = ofSize(256)
  }

  push(value: number): void {
    if (this.length === this.buffer.length) {
      const larger = this.ofSize(2 * this.length)
      larger.set(this.buffer)
      this.buffer = larger
    }
    this.buffer[this.length++] = value
  }

  cutTo(length: number): void {
    this.length = Math.min(this.length, length)
  }

  view(): T {
    return this.buffer.subarray(0, this.length) as T
  }
}

export const growingNumbers = () => new Growing((size) => new Float64Array(size))
export const growingCodes = () => new Growing((size) => new Uint8Array(size))
export const growingIndices = () => new Growing((size) => new Int32Array(size))
