import { blockMedians } from './block-medians.ts'
import { type CorrelatedFit, correlatedFit, type KnownNoise } from './correlated-fit.ts'
import { at } from './linear-algebra.ts'
import { markOutliers, resolutionOf } from './outliers.ts'
import { fitSeparable, gramInverseOf, type RateSearch, type SeparableFit } from './separable-fit.ts'
import type { SeparableModel } from './separable-model.ts'
import { fitSpotReadings } from './spot-fit.ts'
import { startRate } from './start-rate.ts'

export interface CurveData {
  /** Since the start of the phase; the rate comes in the inverse unit. */
  readonly times: Float64Array
  readonly values: Float64Array
  /** Spot mode: standard uncertainty of each reading, from its method. */
  readonly knownSd?: Float64Array
  /** Noise of this instrument from earlier batches, used when these readings are worth fewer than ten. */
  readonly noiseHistory?: KnownNoise
}

/** Builds the model on any subset of the readings. */
export type ModelAt = (times: Float64Array) => SeparableModel

/** White-noise least squares, as any textbook solver reports it. For comparison; never shown as the uncertainty. */
export interface WhiteNoiseFit {
  readonly rate: number
  readonly linear: Float64Array
  readonly covariance: Float64Array
  readonly residualSd: number
  readonly iterations: number
  readonly stopped: string
}

export type CurveFit =
  | ({
      readonly kind: 'fitted'
      readonly rate: number
      /** In the order of the model's columns. */
      readonly linear: Float64Array
      /** p×p over the linear parameters and, last, ln(rate); noise correlation included. */
      readonly covariance: Float64Array
      readonly n: number
      readonly residualSd: number
      /** 1 where a reading was set aside. */
      readonly outliers: Uint8Array
      readonly whiteNoise: WhiteNoiseFit
    } & Pick<CorrelatedFit, 'degreesOfFreedom' | 'effectiveReadings' | 'fromHistory' | 'noise' | 'readingSd'>)
  | { readonly kind: 'refused'; readonly why: CurveRefusal }

export type CurveRefusal = 'too-few-readings' | 'no-convergence' | 'no-change' | 'noise-not-estimated'

const BLOCKS = 96
const ROUNDS = 4
const MANY = 4000

/**
 * Robust fit of a separable curve: block medians give a start that no spike can pull, outliers are set aside on a
 * robust scale, the rest is fitted by least squares and then by generalised least squares under correlated noise.
 */
export const fitCurve = (data: CurveData, modelAt: ModelAt): CurveFit => {
  if (data.knownSd !== undefined) return fitSpotReadings(data, data.knownSd, modelAt)
  if (data.times.length < modelAt(data.times.subarray(0, 1)).columns.length + 2)
    return { kind: 'refused', why: 'too-few-readings' }
  const rough = roughFit(data, modelAt)
  if (rough.kind === 'refused') return rough
  const outliers = new Uint8Array(data.times.length)
  const fit = settle(data, modelAt, rough, outliers)
  return fit.kind === 'refused' ? fit : certain(fit, outliers, data.noiseHistory)
}

const searchFrom = (times: Float64Array, start: number): RateSearch => {
  const span = at(times, times.length - 1) - at(times, 0)
  // a long record is worth no more digits than its noise leaves, and every digit costs a pass over it
  const tolerance = times.length > MANY ? 1e-7 : 1e-9
  return { start, lowest: 1e-4 / span, highest: (20 * times.length) / span, tolerance }
}

const roughFit = (data: CurveData, modelAt: ModelAt): SeparableFit => {
  const blocks = blockMedians(data.times, data.values, BLOCKS)
  const model = modelAt(blocks.times)
  const start = startRate(model, blocks.times, blocks.values)
  return fitSeparable(model, blocks.values, { ...searchFrom(blocks.times, start), tolerance: 1e-5 })
}

type Fitted = Extract<SeparableFit, { kind: 'fitted' }>

interface Settled {
  readonly kind: 'settled'
  readonly fit: Fitted
  readonly times: Float64Array
}

/** Least squares without outliers, repeated until the set of outliers stays as it is. */
const settle = (
  data: CurveData,
  modelAt: ModelAt,
  rough: Fitted,
  outliers: Uint8Array,
): Settled | Extract<SeparableFit, { kind: 'refused' }> => {
  const resolution = resolutionOf(data.values)
  const whole = modelAt(data.times)
  let settled: Settled = { kind: 'settled', fit: rough, times: data.times }
  let found = -1
  for (let round = 0; round < ROUNDS; round++) {
    const residuals = found === 0 ? settled.fit.residuals : residualsOf(whole, settled.fit, data.values)
    const now = markOutliers(residuals, resolution, outliers)
    if (now === found) return settled
    found = now
    const kept = found === 0 ? data : without(data, outliers)
    const model = found === 0 ? whole : modelAt(kept.times)
    const fit = fitSeparable(model, kept.values, searchFrom(kept.times, settled.fit.rate))
    if (fit.kind === 'refused') return fit
    settled = { kind: 'settled', fit, times: kept.times }
  }
  return settled
}

const certain = (
  { fit, times }: Settled,
  outliers: Uint8Array,
  history: KnownNoise | undefined,
): CurveFit => {
  const gram = gramInverseOf(fit.jacobian)
  if (gram === undefined || fit.degreesOfFreedom < 1) return { kind: 'refused', why: 'too-few-readings' }
  const variance = fit.rss / fit.degreesOfFreedom
  const whiteNoise: WhiteNoiseFit = {
    rate: fit.rate,
    linear: fit.linear,
    covariance: gram.map((v) => v * variance),
    residualSd: Math.sqrt(variance),
    iterations: fit.iterations,
    stopped: fit.stopped,
  }
  const correlated = correlatedFit(times, fit.residuals, fit.jacobian, history)
  if (correlated === undefined) return { kind: 'refused', why: 'noise-not-estimated' }
  const { step, ...uncertainty } = correlated
  return {
    kind: 'fitted',
    ...uncertainty,
    rate: fit.rate * Math.exp(at(step, step.length - 1)),
    linear: fit.linear.map((v, i) => v + at(step, i)),
    n: fit.n,
    residualSd: whiteNoise.residualSd,
    outliers,
    whiteNoise,
  }
}

const residualsOf = (
  model: SeparableModel,
  fit: { readonly rate: number; readonly linear: Float64Array },
  values: Float64Array,
): Float64Array => {
  model.setRate(fit.rate)
  const residuals = values.slice()
  model.columns.forEach((column, l) => {
    const factor = at(fit.linear, l)
    for (let i = 0; i < residuals.length; i++)
      residuals[i] = (residuals[i] as number) - factor * (column[i] as number)
  })
  return residuals
}

const without = (data: CurveData, outliers: Uint8Array): CurveData => {
  const times = new Float64Array(outliers.length)
  const values = new Float64Array(outliers.length)
  let kept = 0
  for (let i = 0; i < outliers.length; i++) {
    if (outliers[i] === 1) continue
    times[kept] = data.times[i] as number
    values[kept++] = data.values[i] as number
  }
  return { times: times.subarray(0, kept), values: values.subarray(0, kept) }
}
