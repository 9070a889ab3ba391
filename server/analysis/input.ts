import type { TimeUs } from '../../ingest/units.ts'
import type { ExpectationInput, Fluid } from '../model/expectation.ts'
import type { GasReading } from '../model/gas-concentration.ts'
import type { RuleOfThumb } from '../model/rules-of-thumb.ts'
import type { GasTracks } from '../phase/gas-turns.ts'

export type AnalysisEventKind =
  | 'ozone-on'
  | 'ozone-off'
  | 'flow-off'
  | 'drawn-up'
  | 'discarded'
  | 'probe-in'
  | 'probe-out'

export interface AnalysisEvent {
  readonly kind: AnalysisEventKind
  /** Seconds since `startUs`. */
  readonly atS: number
}

/** Everything known about one batch up to `nowS`. Seconds count from `startUs`, the same for every field. */
export interface AnalysisInput {
  readonly startUs: TimeUs
  /** Seconds since `startUs`, strictly increasing. */
  readonly timesS: Float64Array
  /** Dissolved ozone, mg/L (= µg/mL), calibrated where a calibration is on file. NaN where there is no number. */
  readonly potencyMgPerL: Float64Array
  /** 1 where the meter was at an end of its range. */
  readonly clipped?: Uint8Array
  readonly temperature?: { readonly timesS: Float64Array; readonly celsius: Float64Array }
  readonly events: readonly AnalysisEvent[]
  /** Time constant of the meter's response from its step test, with its standard uncertainty. */
  readonly probeLag?: { readonly tauS: number; readonly uS: number }
  readonly rangeMaxMgPerL?: number
  readonly targetMgPerL?: number
  /** Room temperature, °C, that the fluid warms or cools toward. */
  readonly roomC?: number
  readonly expectation?: ExpectationInput
  /** Where instruments on the gas are wired: they show when it came and went. */
  readonly gas?: GasTracks
  readonly nowS: number
  /** Spot mode: standard uncertainty of each reading in percent of its value, from the method, not from scatter. */
  readonly readingUPercent?: number
  /** Standard uncertainty of the calibration in force (zero and salinity included). Absent: not calibrated. */
  readonly calibration?: { readonly uRelative: number; readonly uZeroMgPerL: number }
  /** Noise of this instrument learnt from its earlier batches; used when this record is too short to tell. */
  readonly noiseHistory?: NoiseHistory
  /** Batches of the same fluid near the same temperature, this clinic's own. */
  readonly history?: BatchHistory
  /** The clinic's rules of thumb; absent: those the program ships. */
  readonly rulesOfThumb?: readonly RuleOfThumb[]
}

export interface NoiseHistory {
  readonly sdMgPerL: number
  readonly correlationTimeS: number
  /** Part of the variance that is white, 0 to 1. */
  readonly whiteFraction: number
}

export interface BatchHistory {
  readonly batches: number
  /** Half-lives normalised to 20 °C: mean of their logarithms and standard deviation between batches. */
  readonly halfLife20cMin?: LogSpread
  /** What it levelled off at over what pure physics would hold at its gas and temperature, so that both may differ. */
  readonly plateauOverEquilibrium?: LogSpread
  readonly ratePerMin?: LogSpread
  /** Single batches of every fluid, to hold "colder lasts longer" and the like against. */
  readonly singles?: readonly PastBatch[]
}

/** What one earlier batch came to; a field is absent where the batch gave only a bound or nothing. */
export interface PastBatch {
  readonly fluid: Fluid
  readonly temperatureC?: number
  readonly gas?: GasReading
  readonly plateauMgPerL?: number
  readonly halfLifeMin?: number
  readonly halfLife20cMin?: number
}

/** `exp(meanLog)` is the geometric mean; `sdLog` the spread between batches. */
export interface LogSpread {
  readonly meanLog: number
  readonly sdLog: number
  /** How many batches would know the mean as well: those of other settings say something of it too. */
  readonly worth?: number
  /** Behind `sdLog`. */
  readonly degreesOfFreedom?: number
}
