import type { ModelAt } from './binned-model.ts'
import type { BinnedReadings } from './binned-readings.ts'
import type { CorrelatedFit, KnownNoise } from './correlated-fit.ts'

export type { ModelAt }

export interface CurveData {
  /** Since the start of the phase; the rate comes in the inverse unit. */
  readonly times: Float64Array
  readonly values: Float64Array
  /** Times at which the curve may step: no bin reaches over one. */
  readonly breaks?: readonly number[]
  /** The readings that begin these, as they were binned and marked before. */
  readonly binned?: BinnedReadings
  /** Spot mode: standard uncertainty of each reading, from its method. */
  readonly knownSd?: Float64Array
  /** Noise of this instrument from earlier batches, used when these readings are worth fewer than ten. */
  readonly noiseHistory?: KnownNoise
}

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
