import { describe, expect, it } from 'vitest'
import { fitCurve } from '../../../server/fit/curve-fit.ts'
import { at, choleskyInPlace, inverseOf } from '../../../server/fit/linear-algebra.ts'
import { type NoiseShape, Whitener } from '../../../server/fit/noise-likelihood.ts'
import { exponentialShape } from '../../../server/fit/rate-shape.ts'
import { riseModel } from '../../../server/fit/separable-model.ts'
import { noiseOf } from './random.ts'

/** Readings one step apart in runs; a run is a bin, and between runs some readings may be missing. */
interface Runs {
  readonly name: string
  readonly step: number
  readonly runs: readonly { readonly first: number; readonly count: number }[]
}

const touching = (counts: readonly number[]) => {
  let next = 0
  return counts.map((count) => {
    const first = next
    next += count
    return { first, count }
  })
}

const RUNS: readonly Runs[] = [
  { name: 'readings by themselves', step: 1 / 60, runs: touching(Array.from({ length: 30 }, () => 1)) },
  { name: 'bins of nine', step: 1 / 60, runs: touching(Array.from({ length: 24 }, () => 9)) },
  { name: 'bins of eight and nine', step: 0.5, runs: touching([8, 9, 8, 8, 9, 8, 9, 9, 8, 8, 9]) },
  {
    name: 'bins with readings missing between them',
    step: 1 / 60,
    runs: [
      { first: 0, count: 9 },
      { first: 9, count: 9 },
      { first: 48, count: 9 },
      { first: 57, count: 4 },
      { first: 63, count: 9 },
      { first: 72, count: 9 },
      { first: 81, count: 9 },
    ],
  },
]
const SHAPES: readonly NoiseShape[] = [
  { correlationTime: 1 / 3, whiteShare: 0.01 },
  { correlationTime: 4, whiteShare: 0.3 },
  { correlationTime: 0.02, whiteShare: 0.9 },
]

/** Covariance of the means, reading by reading: every pair of readings of two bins, as its definition says. */
const covarianceOf = ({ runs, step }: Runs, { correlationTime, whiteShare }: NoiseShape): Float64Array => {
  const n = runs.length
  const meanCount = runs.reduce((sum, r) => sum + r.count, 0) / n
  const out = new Float64Array(n * n)
  runs.forEach((a, i) => {
    runs.forEach((b, j) => {
      let sum = 0
      for (let x = 0; x < a.count; x++)
        for (let y = 0; y < b.count; y++)
          sum += Math.exp((-Math.abs(a.first + x - b.first - y) * step) / correlationTime)
      out[i * n + j] =
        ((1 - whiteShare) * sum) / (a.count * b.count) + (i === j ? (whiteShare * meanCount) / a.count : 0)
    })
  })
  return out
}

describe('noise of means over bins', () => {
  const cases = RUNS.flatMap((runs) =>
    SHAPES.map((shape) => ({ ...runs, shape, tau: shape.correlationTime })),
  )

  it.each(cases)('is that of every pair of readings in them: $name, τ $tau', ({ shape, ...runs }) => {
    const n = runs.runs.length
    const times = Float64Array.from(runs.runs, (r) => (r.first + (r.count - 1) / 2) * runs.step)
    const columns = [times.map((t) => Math.sin(3 * t)), times.map((t) => Math.exp(-t)), times.map(() => 1)]
    const counts = Float64Array.from(runs.runs, (r) => r.count)
    const { sums, logDeterminant } = new Whitener({ times, counts, columns }).whiten(shape)

    const covariance = covarianceOf(runs, shape)
    const inverse = inverseOf(covariance, n) ?? new Float64Array()
    const root = covariance.slice()
    expect(choleskyInPlace(root, n)).toBe(true)
    const logs = Array.from({ length: n }, (_, i) => 2 * Math.log(at(root, i * n + i)))
    expect(logDeterminant).toBeCloseTo(
      logs.reduce((sum, l) => sum + l, 0),
      8,
    )
    columns.forEach((a, i) => {
      columns.forEach((b, j) => {
        let exact = 0
        for (let x = 0; x < n; x++)
          for (let y = 0; y < n; y++) exact += at(a, x) * at(inverse, x * n + y) * at(b, y)
        expect(at(sums, 3 * i + j) / exact).toBeCloseTo(1, 7)
      })
    })
  })

  it('is found as slow as it is, though it is only seen in means over half of that time', () => {
    const times = Float64Array.from({ length: 1200 }, (_, i) => i / 60)
    const found = Array.from({ length: 60 }, (_, i) => {
      const noise = noiseOf(times.length, { sd: 0.2, correlationS: 20, white: 0 }, 7919 * (i + 1))
      const values = times.map((t, j) => 20 - 20 * Math.exp(-0.3 * t) + at(noise, j))
      const fit = fitCurve({ times, values }, (t) => riseModel(t, exponentialShape(undefined)))
      return fit.kind === 'fitted' ? 60 * fit.noise.correlationTime : Number.NaN
    }).sort((a, b) => a - b)
    // 22 s with 600 records, quartiles 18 and 27; taken for single readings, the means said 32 s
    expect(at(Float64Array.from(found), 30)).toBeGreaterThan(18)
    expect(at(Float64Array.from(found), 30)).toBeLessThan(26)
  })
})
