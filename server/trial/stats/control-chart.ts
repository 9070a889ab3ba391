/** Individuals and moving range chart. */
export interface ControlChart {
  readonly centre: number
  readonly low: number
  readonly high: number
  readonly meanRange: number
  readonly rangeHigh: number
  readonly ranges: readonly number[]
  /** Places of values outside the limits. */
  readonly outside: readonly number[]
  /** Places of moving ranges above their limit, counted by the later value. */
  readonly rangeOutside: readonly number[]
  /** Place where the newest run of eight or more on one side of the centre begins; undefined: there is none at the end. */
  readonly driftFrom: number | undefined
}

/** d2 and D4 for ranges of two: 1.128 and 3.267. NIST/SEMATECH e-Handbook 6.3.2.2. */
const D2 = 1.128
const D4 = 3.267

/** Limits at the mean ± 3·(mean moving range)/1.128, values in the order of time. Undefined below two values. */
export const controlChart = (values: readonly number[]): ControlChart | undefined => {
  if (values.length < 2) return undefined
  const centre = values.reduce((a, b) => a + b, 0) / values.length
  const ranges = values.slice(1).map((v, i) => Math.abs(v - (values[i] ?? v)))
  const meanRange = ranges.reduce((a, b) => a + b, 0) / ranges.length
  const reach = (3 * meanRange) / D2
  const rangeHigh = D4 * meanRange
  return {
    centre,
    low: centre - reach,
    high: centre + reach,
    meanRange,
    rangeHigh,
    ranges,
    outside: values.flatMap((v, i) => (Math.abs(v - centre) > reach ? [i] : [])),
    rangeOutside: ranges.flatMap((r, i) => (r > rangeHigh ? [i + 1] : [])),
    driftFrom: driftOf(values, centre),
  }
}

/** So many in a row on one side: the fourth of the Western Electric rules (1956), from memory; by chance once in 128 runs. */
const RUN = 8

const driftOf = (values: readonly number[], centre: number): number | undefined => {
  const side = Math.sign((values.at(-1) ?? centre) - centre)
  const last = values.findLastIndex((v) => Math.sign(v - centre) !== side)
  return side !== 0 && values.length - last - 1 >= RUN ? last + 1 : undefined
}
