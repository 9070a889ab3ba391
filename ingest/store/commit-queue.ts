import type { NewReading } from '../reading/reading.ts'
import type { AppendResult } from './store.ts'

export interface CommitQueueOptions {
  readonly append: (batch: readonly NewReading[]) => AppendResult
  /** Called after each commit that worked. */
  readonly onCommitted: (result: AppendResult) => void
  /** Called when a commit fails (a full disk, say). The readings stay queued and are tried again. */
  readonly onTrouble: (error: unknown, waiting: number) => void
  /** Called when the bound is reached and the oldest readings have to go. */
  readonly onOverflow: (lost: number) => void
  readonly bound: number
}

const AT_ONCE = 20_000

/**
 * Readings between their arrival and their commit. Group commit: whatever has arrived is written in one
 * transaction. While the disk refuses, readings wait here, up to a stated bound.
 */
export const createCommitQueue = (options: CommitQueueOptions) => {
  let waiting: NewReading[] = []

  const add = (readings: readonly NewReading[]): void => {
    for (const reading of readings) waiting.push(reading)
    if (waiting.length <= options.bound) return
    const lost = waiting.length - options.bound
    waiting = waiting.slice(lost)
    options.onOverflow(lost)
  }

  /** Writes what waits; true when nothing is left. */
  const commit = (): boolean => {
    while (waiting.length > 0) {
      const batch = waiting.slice(0, AT_ONCE)
      let result: AppendResult
      try {
        result = options.append(batch)
      } catch (error) {
        options.onTrouble(error, waiting.length)
        return false
      }
      waiting = waiting.slice(batch.length)
      options.onCommitted(result)
    }
    return true
  }

  return { add, commit, waiting: () => waiting.length }
}
