import type { Reading } from '../reading/reading.ts'
import type { WriteOutcome } from '../store/influx-connection.ts'
import { NOT_WRITABLE } from '../store/influx-line.ts'
import type { Refused } from '../store/outbox.ts'

/** Every reading of a batch is accounted for, or the batch was broken off and comes again. */
export type Delivery =
  | { readonly kind: 'done'; readonly taken: readonly Reading[]; readonly refused: readonly Refused[] }
  | { readonly kind: 'broken-off'; readonly outcome: Broken }

export type Broken = Extract<WriteOutcome, { readonly kind: 'unreachable' | 'not-let-in' }>

export interface DeliverOptions {
  readonly write: (lines: readonly string[]) => Promise<WriteOutcome>
  readonly lineOf: (reading: Reading) => string | null
}

/**
 * Sends a batch and finds the readings that the server refuses by halving: 2·log2(n) writes for one of n. The
 * good ones among the refused are sent again, which changes nothing there. It stops at the first answer that
 * says nothing about the readings.
 */
export const deliver = async (batch: readonly Reading[], options: DeliverOptions): Promise<Delivery> => {
  const refused: Refused[] = []
  const taken: Reading[] = []
  const todo: (readonly Written[])[] = [writable(batch, options, refused)]
  for (let part = todo.pop(); part !== undefined; part = todo.pop()) {
    if (part.length === 0) continue
    const outcome = await options.write(part.map(({ line }) => line))
    switch (outcome.kind) {
      case 'acknowledged':
        for (const { reading } of part) taken.push(reading)
        break
      case 'refused': {
        if (part.length === 1 || outcome.all) {
          for (const { reading } of part) refused.push({ reading, words: outcome.words })
          break
        }
        const half = part.length >> 1
        todo.push(part.slice(half), part.slice(0, half))
        break
      }
      case 'unreachable':
      case 'not-let-in':
        return { kind: 'broken-off', outcome }
      default:
        return outcome satisfies never
    }
  }
  return { kind: 'done', taken, refused }
}

interface Written {
  readonly reading: Reading
  readonly line: string
}

const writable = (batch: readonly Reading[], { lineOf }: DeliverOptions, refused: Refused[]): Written[] => {
  const lines: Written[] = []
  for (const reading of batch) {
    const line = lineOf(reading)
    if (line === null) refused.push({ reading, words: NOT_WRITABLE })
    else lines.push({ reading, line })
  }
  return lines
}
