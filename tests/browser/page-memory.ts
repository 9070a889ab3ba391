import type { CDPSession } from 'playwright-core'
import { pause } from '../support/until.ts'

/** What a page holds on to after everything that can be let go was let go. */
export interface PageMemory {
  readonly heapBytes: number
  readonly nodes: number
  readonly listeners: number
}

interface HeapUsage {
  readonly usedSize: number
  readonly embedderHeapUsedSize?: number
  readonly backingStorageSize?: number
}

/** The collector leaves to a later round what a task under way still held: the least of some rounds counts. */
const ROUNDS = 5
const BETWEEN_MS = 200

export const memoryOf = async (cdp: CDPSession): Promise<PageMemory> => {
  let heapBytes = Number.POSITIVE_INFINITY
  for (let round = 0; round < ROUNDS; round++) {
    await cdp.send('HeapProfiler.collectGarbage')
    const heap = (await cdp.send('Runtime.getHeapUsage')) as HeapUsage
    const held = heap.usedSize + (heap.embedderHeapUsedSize ?? 0) + (heap.backingStorageSize ?? 0)
    heapBytes = Math.min(heapBytes, held)
    await pause(BETWEEN_MS)
  }
  const { nodes, jsEventListeners } = await cdp.send('Memory.getDOMCounters')
  return { heapBytes, nodes, listeners: jsEventListeners }
}
