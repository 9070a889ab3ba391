import type { MethodSheet } from '../server/wire.ts'

/** What the planner hands over to a new method sheet: in memory, once, and nowhere kept. */
let planned: Partial<MethodSheet> | null = null

export const handOver = (settings: Partial<MethodSheet>): void => {
  planned = settings
}

export const takeOver = (): Partial<MethodSheet> | null => {
  const taken = planned
  planned = null
  return taken
}
