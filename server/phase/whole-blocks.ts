import { at } from '../fit/linear-algebra.ts'

/** Blocks of a thinned record: as many readings in each, and where the last whole one ends. */
export interface WholeBlocks {
  readonly perBlock: number
  readonly end: number
}

/** A record of more blocks than this is thinned by another factor of two … */
const MANY_BLOCKS = 600
/** … but no further than this, or a batch in it would vanish. */
const LONGEST_BLOCK_S = 20
const READINGS_PER_BLOCK = 4
/** A slow meter's readings stand alone: four of them would be minutes. */
const SLOW_BLOCK_S = 15

/** Readings after the last whole block wait for the rest of it, so that a block once made stays as it is. */
export const wholeBlocks = (times: Float64Array): WholeBlocks => {
  const n = times.length
  const span = n < 2 ? 0 : at(times, n - 1) - at(times, 0)
  // a fifth of a reading of play, so that jitter in the times does not make blocks of other sizes
  const within = (seconds: number) => Math.max(1, Math.floor((seconds * (n - 1)) / span + 0.2))
  let perBlock = Math.min(READINGS_PER_BLOCK, within(SLOW_BLOCK_S))
  while (n / perBlock > MANY_BLOCKS && 2 * perBlock <= within(LONGEST_BLOCK_S)) perBlock *= 2
  return { perBlock, end: n - (n % perBlock) }
}
