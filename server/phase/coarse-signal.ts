import { blockMedians, insert } from '../fit/block-medians.ts'
import { at } from '../fit/linear-algebra.ts'
import { robustSd } from '../fit/outliers.ts'
import { wholeBlocks } from './whole-blocks.ts'

/** The signal thinned to medians, with the change that counts as a change. */
export interface CoarseSignal {
  readonly times: Float64Array
  readonly values: Float64Array
  /** mg/L: a rise or fall of at least this much is not noise. */
  readonly step: number
}

const COMPARE_S = 60
const MOST_REACH = 15

/**
 * Thins a record and sizes its noise against its own neighbourhood one minute to each side, so that slow wander counts
 * as noise. Eight standard deviations, more for a long record: the range of quiet noise grows with its length,
 * 2·√(2 ln n) standard deviations over n independent values.
 */
export const coarseSignal = (times: Float64Array, values: Float64Array): CoarseSignal | undefined => {
  const { perBlock, end } = wholeBlocks(times)
  const blocks = end / perBlock
  if (blocks < 6) return undefined
  const coarse = blockMedians(times.subarray(0, end), values.subarray(0, end), blocks)
  const quiet = Math.max(8, 2.4 * Math.sqrt(2 * Math.log(blocks)))
  const sorted = coarse.values.slice().sort()
  const range = at(sorted, Math.floor(0.98 * (blocks - 1))) - at(sorted, Math.floor(0.02 * (blocks - 1)))
  const smooth = withoutExcursions(coarse.times, coarse.values)
  return {
    times: coarse.times,
    values: smooth,
    step: Math.max(quiet * wander(coarse.times, coarse.values), 0.1 * range, 0.3),
  }
}

const wander = (times: Float64Array, values: Float64Array): number => {
  const n = times.length
  const spacing = (at(times, n - 1) - at(times, 0)) / (n - 1)
  const reach = Math.max(1, Math.min(Math.round(COMPARE_S / spacing), Math.floor(n / 8)))
  const off = new Float64Array(Math.max(1, n - 2 * reach))
  for (let i = reach; i < n - reach; i++)
    off[i - reach] = at(values, i) - (at(values, i - reach) + at(values, i + reach)) / 2
  // the difference carries the noise of its two neighbours as well
  return robustSd(off) / Math.sqrt(1.5)
}

/**
 * Running median over a minute to each side: foam, a lifted probe or an interrupted gas of less than a minute vanish,
 * while everything that only rises or only falls stays as it is. Narrower near the ends, so that they stay too.
 */
const withoutExcursions = (times: Float64Array, values: Float64Array): Float64Array => {
  const n = values.length
  const spacing = (at(times, n - 1) - at(times, 0)) / (n - 1)
  const reach = Math.min(MOST_REACH, Math.round(COMPARE_S / spacing))
  const window = new Float64Array(2 * reach + 1)
  return values.map((_, i) => {
    const half = Math.min(reach, i, n - 1 - i)
    for (let k = 0; k <= 2 * half; k++) insert(window, k, values[i - half + k] as number)
    return at(window, half)
  })
}
