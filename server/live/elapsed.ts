import type { Reading } from '../../ingest/reading/reading.ts'

/** Where in time the newest reading stands, on the steady axis of a batch. */
export interface Elapsed {
  readonly seconds: number
  readonly bootId: string
  readonly monoMs: number
  readonly timeUs: number
}

/**
 * Seconds of a reading on the batch's own axis. Inside one boot the interval is that of uptime, so a step of
 * the wall clock never reaches a fit; across boots it is that of the wall clock less the steps recorded between.
 */
export const elapsedOf = (
  reading: Pick<Reading, 'timeUs' | 'monoMs' | 'bootId'> & { readonly movedUs?: number },
  before: Elapsed | undefined,
  startUs: number,
): Elapsed => {
  const { monoMs, bootId } = reading
  // the wall clock when it came, whatever name it was given
  const timeUs = reading.timeUs - (reading.movedUs ?? 0)
  if (!before) return { seconds: (timeUs - startUs) / 1e6, bootId, monoMs, timeUs }
  const passed = before.bootId === bootId ? (monoMs - before.monoMs) / 1000 : (timeUs - before.timeUs) / 1e6
  return { seconds: before.seconds + passed, bootId, monoMs, timeUs }
}
