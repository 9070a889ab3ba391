import { at } from './linear-algebra.ts'

/** Readings thinned to medians of equal counts: a spike or a short jump cannot move them. */
export interface BlockMedians {
  readonly times: Float64Array
  readonly values: Float64Array
}

const MOST_PER_BLOCK = 9

/** At most `most` blocks; each takes the median of up to nine readings spread over it. */
export const blockMedians = (times: Float64Array, values: Float64Array, most: number): BlockMedians => {
  const n = times.length
  const blocks = Math.min(most, n)
  const out = { times: new Float64Array(blocks), values: new Float64Array(blocks) }
  const part = new Float64Array(MOST_PER_BLOCK)
  for (let b = 0; b < blocks; b++) {
    const from = Math.floor((b * n) / blocks)
    const to = Math.floor(((b + 1) * n) / blocks)
    const taken = Math.min(MOST_PER_BLOCK, to - from)
    let time = 0
    for (let k = 0; k < taken; k++) {
      const i = from + Math.floor(((k + 0.5) * (to - from)) / taken)
      insert(part, k, values[i] as number)
      time += times[i] as number
    }
    out.values[b] = (at(part, (taken - 1) >> 1) + at(part, taken >> 1)) / 2
    out.times[b] = time / taken
  }
  return out
}

/** Puts a value in its place among the first `count` sorted ones. */
export const insert = (sorted: Float64Array, count: number, value: number): void => {
  let k = count
  while (k > 0 && (sorted[k - 1] as number) > value) {
    sorted[k] = sorted[k - 1] as number
    k--
  }
  sorted[k] = value
}
