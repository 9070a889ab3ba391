import { binnedModel, observedIn, scatterWithin } from './binned-model.ts'
import { BinnedReadings } from './binned-readings.ts'
import { blockMedians } from './block-medians.ts'
import { correlatedFit, type KnownNoise } from './correlated-fit.ts'
import type { CurveData, CurveFit, ModelAt, WhiteNoiseFit } from './curve.ts'
import { at } from './linear-algebra.ts'
import { rateAfterStep } from './rate-step.ts'
import type { BinSums } from './reading-bins.ts'
import { fitSeparable, gramInverseOf, type RateSearch, type SeparableFit } from './separable-fit.ts'
import { fitSpotReadings } from './spot-fit.ts'
import { startRate } from './start-rate.ts'

export type { CurveData, CurveFit, CurveRefusal, ModelAt, WhiteNoiseFit } from './curve.ts'

const BLOCKS = 96
const ROUNDS = 4

/**
 * Robust fit of a separable curve: block medians give a start that no spike can pull, outliers are set aside on a
 * robust scale, the rest is fitted by least squares and then by generalised least squares under correlated noise. A long
 * record is fitted by the sums over its bins, so that only finding its outliers takes longer the longer it is.
 */
export const fitCurve = (data: CurveData, modelAt: ModelAt): CurveFit => {
  if (data.knownSd !== undefined) return fitSpotReadings(data, data.knownSd, modelAt)
  if (data.times.length < modelAt(data.times.subarray(0, 1)).columns.length + 2)
    return { kind: 'refused', why: 'too-few-readings' }
  const rough = roughFit(data, modelAt)
  if (rough.kind === 'refused') return rough
  const readings = data.binned ?? new BinnedReadings()
  readings.take(data.times, data.values, data.breaks)
  const settled = settle(readings, modelAt, rough)
  return settled.kind === 'refused' ? settled : certain(settled, readings, data.noiseHistory)
}

const searchFrom = (times: Float64Array, start: number, tolerance: number): RateSearch => {
  const n = times.length
  const span = at(times, n - 1) - at(times, 0)
  return { start, lowest: 1e-4 / span, highest: (20 * n) / span, tolerance }
}

const roughFit = (data: CurveData, modelAt: ModelAt): SeparableFit => {
  const blocks = blockMedians(data.times, data.values, BLOCKS)
  const model = modelAt(blocks.times)
  const start = startRate(model, blocks.times, blocks.values)
  return fitSeparable(model, blocks.values, searchFrom(blocks.times, start, 1e-5))
}

type Fitted = Extract<SeparableFit, { kind: 'fitted' }>

interface Settled {
  readonly kind: 'settled'
  readonly fit: Fitted
  readonly bins: readonly BinSums[]
}

/** Least squares without outliers, repeated until their number stays as it is. */
const settle = (
  readings: BinnedReadings,
  modelAt: ModelAt,
  rough: Fitted,
): Settled | Extract<SeparableFit, { kind: 'refused' }> => {
  let settled: Settled = { kind: 'settled', fit: rough, bins: [] }
  let found = -1
  for (let round = 0; round < ROUNDS; round++) {
    const { rate, linear } = settled.fit
    const now = readings.mark({ modelAt, rate, linear })
    if (now === found) return settled
    found = now
    const bins = readings.bins()
    const search = searchFrom(readings.times, rate, 1e-9)
    const fit = fitSeparable(binnedModel(bins, modelAt), observedIn(bins), search)
    if (fit.kind === 'refused') return fit
    settled = { kind: 'settled', fit, bins }
  }
  return settled
}

const certain = (
  { fit, bins }: Settled,
  readings: BinnedReadings,
  history: KnownNoise | undefined,
): CurveFit => {
  const gram = gramInverseOf(fit.jacobian)
  const n = bins.reduce((sum, bin) => sum + bin.count, 0)
  const degrees = n - fit.jacobian.length
  if (gram === undefined || degrees < 1) return { kind: 'refused', why: 'too-few-readings' }
  const rss = fit.rss + scatterWithin(bins)
  const whiteNoise: WhiteNoiseFit = {
    rate: fit.rate,
    linear: fit.linear,
    covariance: gram.map((v) => (v * rss) / degrees),
    residualSd: Math.sqrt(rss / degrees),
    iterations: fit.iterations,
    stopped: fit.stopped,
  }
  const correlated = correlatedFit({ ...meansOf(fit, bins), readings: n, rss }, history)
  if (correlated === undefined) return { kind: 'refused', why: 'noise-not-estimated' }
  const { step, ...uncertainty } = correlated
  return {
    kind: 'fitted',
    ...uncertainty,
    ...rateAfterStep(fit.rate, at(step, step.length - 1), correlated.covariance),
    linear: fit.linear.map((v, i) => v + at(step, i)),
    n,
    residualSd: whiteNoise.residualSd,
    outliers: readings.outliers(),
    whiteNoise,
  }
}

/** The means among the rows of a fit on bins, the roots of the counts taken out. */
const meansOf = (fit: Fitted, bins: readonly BinSums[]) => {
  const [counts, times] = [new Float64Array(bins.length), new Float64Array(bins.length)]
  bins.forEach((bin, b) => {
    counts[b] = bin.count
    times[b] = bin.time
  })
  const roots = counts.map(Math.sqrt)
  const unweighted = (row: Float64Array) => roots.map((root, b) => at(row, b) / root)
  return { times, counts, residuals: unweighted(fit.residuals), jacobian: fit.jacobian.map(unweighted) }
}
