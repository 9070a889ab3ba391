import jStatPackage from 'jstat'

const { jStat } = jStatPackage

export interface OneWay {
  readonly groups: number
  /** Values in all. */
  readonly n: number
  readonly ssBetween: number
  readonly ssWithin: number
  readonly msBetween: number
  readonly msWithin: number
  readonly f: number
  readonly p: number
}

/**
 * One-way analysis of variance, F = MS_between/MS_within with k − 1 and n − k degrees of freedom; sums of squares about the
 * means, never as differences of large sums. Undefined with fewer than two groups that hold something, with one value in
 * each, or without spread within any.
 */
export const oneWay = (groups: readonly (readonly number[])[]): OneWay | undefined => {
  const filled = groups.filter((g) => g.length > 0)
  const values = filled.flat()
  const n = values.length
  if (filled.length < 2 || n <= filled.length) return undefined
  const grand = meanOf(values)
  const ssBetween = filled.reduce((s, g) => s + g.length * (meanOf(g) - grand) ** 2, 0)
  const ssWithin = filled.reduce((s, g) => s + squaresAbout(g, meanOf(g)), 0)
  const [between, within] = [filled.length - 1, n - filled.length]
  if (!(ssWithin > 0)) return undefined
  const [msBetween, msWithin] = [ssBetween / between, ssWithin / within]
  const f = msBetween / msWithin
  const p = 1 - jStat.centralF.cdf(f, between, within)
  return { groups: filled.length, n, ssBetween, ssWithin, msBetween, msWithin, f, p }
}

/** Corrected by what the first pass left over, so that large values with small differences keep their digits. */
const meanOf = (values: readonly number[]): number => {
  const rough = values.reduce((a, b) => a + b, 0) / values.length
  return rough + values.reduce((s, v) => s + (v - rough), 0) / values.length
}

const squaresAbout = (values: readonly number[], mean: number): number =>
  values.reduce((s, v) => s + (v - mean) ** 2, 0)
