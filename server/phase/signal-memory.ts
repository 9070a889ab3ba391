import { type SignalTurns, signalTurns } from './signal-turns.ts'
import { wholeBlocks } from './whole-blocks.ts'

/** The turns found in a record, given again until it has another whole block or anything in it changed. */
export class SignalMemory {
  private found: SignalTurns | undefined
  private end = 0

  /** Readings from the n-th on are not what they were when turns were last looked for. */
  keepOnly(n: number): void {
    if (n < this.end) this.found = undefined
  }

  turns(times: Float64Array, values: Float64Array): SignalTurns {
    const { end } = wholeBlocks(times)
    if (this.found === undefined || end !== this.end)
      this.found = signalTurns(times.subarray(0, end), values.subarray(0, end))
    this.end = end
    return this.found
  }
}
