import type { WriteOutcome } from '../store/influx-connection.ts'
import { NOT_WRITABLE } from '../store/influx-line.ts'

/** An item that the server will not take. */
export interface Refused<Item> {
  readonly item: Item
  readonly words: string
}

/** Every item of a batch is accounted for, or the batch was broken off and comes again. */
export type Delivery<Item> =
  | { readonly kind: 'done'; readonly taken: readonly Item[]; readonly refused: readonly Refused<Item>[] }
  | { readonly kind: 'broken-off'; readonly outcome: Broken }

export type Broken = Extract<WriteOutcome, { readonly kind: 'unreachable' | 'not-let-in' }>

export interface DeliverOptions<Item> {
  readonly write: (lines: readonly string[]) => Promise<WriteOutcome>
  /** A point as line protocol; null when it cannot be written as one. */
  readonly lineOf: (item: Item) => string | null
}

/**
 * Sends a batch (readings, entries) and finds the items that the server refuses by halving: 2·log2(n) writes for one of n. The
 * good ones among the refused are sent again, which changes nothing there. It stops at the first answer that
 * says nothing about the items.
 */
export const deliver = async <Item>(
  batch: readonly Item[],
  options: DeliverOptions<Item>,
): Promise<Delivery<Item>> => {
  const refused: Refused<Item>[] = []
  const taken: Item[] = []
  const todo: (readonly Written<Item>[])[] = [writable(batch, options, refused)]
  for (let part = todo.pop(); part !== undefined; part = todo.pop()) {
    if (part.length === 0) continue
    const outcome = await options.write(part.map(({ line }) => line))
    switch (outcome.kind) {
      case 'acknowledged':
        for (const { item } of part) taken.push(item)
        break
      case 'refused': {
        if (part.length === 1 || outcome.all) {
          for (const { item } of part) refused.push({ item, words: outcome.words })
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

interface Written<Item> {
  readonly item: Item
  readonly line: string
}

const writable = <Item>(
  batch: readonly Item[],
  { lineOf }: DeliverOptions<Item>,
  refused: Refused<Item>[],
): Written<Item>[] => {
  const lines: Written<Item>[] = []
  for (const item of batch) {
    const line = lineOf(item)
    if (line === null) refused.push({ item, words: NOT_WRITABLE })
    else lines.push({ item, line })
  }
  return lines
}
