import type { FittedCurve } from './curves.ts'
import type { AnalysisInput, NoiseHistory } from './input.ts'
import type { Reason } from './quantity-schema.ts'
import type { Analysis, Decision } from './schema.ts'

export type LivePhase = 'idle' | 'rise' | 'purge' | 'decay' | 'discarded'

/** Potency in the flask now. `measured` only while readings are fresh; `estimated` runs the fit forward from the last one. */
export type LivePotency =
  | {
      readonly kind: 'measured' | 'estimated'
      readonly mgPerL: number
      /** Two-sided 95 %, calibration uncertainty included when there is a calibration. */
      readonly ci95: readonly [number, number]
      readonly calibrated: boolean
      /** The reading behind it, in seconds since `startUs`, and how old it is at `nowS`. */
      readonly readingAtS: number
      readonly ageS: number
    }
  | { readonly kind: 'none'; readonly why: Reason }

/** Time left above target, in seconds from `nowS`. `earlyS` is the one-sided 95 % bound people should act on. */
export type TimeLeft =
  | {
      readonly kind: 'until'
      readonly expectedS: number
      readonly earlyS: number
      readonly ci95S: readonly [number, number]
      readonly basis: 'readings' | 'history' | 'expectation'
      /** True while gas still flows: counted as if everything were shut off now. */
      readonly ifOffNow: boolean
    }
  | { readonly kind: 'refused'; readonly why: Reason }
  | { readonly kind: 'no-target' }

export interface LiveEstimate {
  readonly phase: LivePhase
  /** Seconds since `startUs`; absent while idle. */
  readonly phaseStartedS?: number
  readonly potency: LivePotency
  readonly timeLeft: TimeLeft
  /** Slope of the fit now, mg/L per minute. */
  readonly trendMgPerLPerMin?: number
  /** Potency now over the fitted plateau; only while rising and when a plateau is known. */
  readonly fractionOfPlateau?: number
  readonly decision?: Decision
  /** Noise of the instrument as this batch shows it; absent while too little was seen. */
  readonly noise?: NoiseHistory
  readonly analysis: Analysis
  /** Fit and 95 % band of each fitted phase, ready to draw. */
  readonly curves: readonly FittedCurve[]
}

export type LiveEstimator = (input: AnalysisInput, curvePoints?: number, readings?: number) => LiveEstimate
