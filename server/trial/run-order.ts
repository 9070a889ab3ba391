import { createHash } from 'node:crypto'

export interface Run {
  /** From 1, in the order the batches are to be made. */
  readonly run: number
  /** Day of the trial, from 1. */
  readonly day: number
  readonly what: string
  /** The block it stands in, from 1. */
  readonly block: number
}

/**
 * Order of the batches: blocks that hold each thing once, shuffled inside the block, blocks dealt out to the days in turn and
 * sorted by day. The shuffle sorts by the SHA-256 of "seed:block:thing", so anybody can work the order out again.
 */
export const runOrder = (seed: string, things: readonly string[], blocks: number, days: number): Run[] => {
  const dealt = Array.from({ length: blocks }, (_, block) => ({
    day: (block % Math.max(1, days)) + 1,
    block: block + 1,
    things: shuffled(seed, block + 1, things),
  })).sort((a, b) => a.day - b.day)
  return dealt
    .flatMap(({ day, block, things: own }) => own.map((what) => ({ day, block, what })))
    .map((run, i) => ({ run: i + 1, ...run }))
}

const shuffled = (seed: string, block: number, things: readonly string[]): string[] =>
  things
    .map((thing) => ({ thing, key: sha256(`${seed}:${block}:${thing}`) }))
    .sort((a, b) => (a.key < b.key ? -1 : 1))
    .map(({ thing }) => thing)

const sha256 = (text: string): string => createHash('sha256').update(text).digest('hex')
