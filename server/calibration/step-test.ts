import { mean } from 'simple-statistics'
import { fitSaturation } from '../fit/saturation-fit.ts'

export interface StepResponse {
  readonly kind: 'fitted'
  /** Time constant (63.2 % of the step), s; its standard uncertainty, widened for few readings; 95 % interval. */
  readonly tauS: number
  readonly uS: number
  readonly ci95S: readonly [number, number]
  /** The same by the area between the curve and where it ends, s. */
  readonly areaTauS: number
  /** The two are further apart than one first-order step leaves them. */
  readonly differ: boolean
}

/** Part of the whole change that counts as having moved: well over scatter, and the rest of a first-order step is one too. */
const MOVED_PART = 0.1

/**
 * Index of the first reading that had moved, for a mark set a little before the probe was moved: a first-order step has
 * the same time constant from any of its points, and readings from before would count as slowness. Start: the first
 * reading. End: mean of the last tenth. 0 where nothing moved.
 */
export const firstMoved = (shown: Float64Array): number => {
  const start = shown[0] ?? Number.NaN
  const change = endOf(shown) - start
  return Math.max(
    0,
    shown.findIndex((v) => (v - start) / change > MOVED_PART),
  )
}

const endOf = (shown: Float64Array): number =>
  shown.length === 0 ? Number.NaN : mean([...shown.subarray(Math.floor(shown.length * 0.9))])

export type StepTest = StepResponse | { readonly kind: 'refused'; readonly why: StepRefusal }

export type StepRefusal =
  | 'too-few-readings'
  | 'no-convergence'
  | 'no-change'
  | 'noise-not-estimated'
  | 'too-short'

/** The end must be reached, or end and time constant are one and the same to the fit. */
const LEAST_TAUS = 4
/** Further apart, as a part, than scatter and the choice of the first reading explain; from memory. */
const MOST_DIFFERENCE = 0.15
const NORMAL_TWO_SIDED = 1.959964

/**
 * Response time of a probe that was moved at `timesS[0]` from one fluid into another, from its readings:
 * shown = end + (start − end)·e^(−t/τ). Cross-check: τ = ∫(end − shown)dt/(end − start), which needs no fit but the end.
 * A dead time goes into the area whole and into the fit in part.
 */
export const stepTest = (timesS: Float64Array, shown: Float64Array): StepTest => {
  const startS = timesS[0] ?? 0
  const fit = fitSaturation({ times: timesS.map((t) => (t - startS) / 60), values: shown })
  if (fit.kind === 'refused') return fit
  const tauS = 60 / fit.rate
  if (((timesS.at(-1) ?? 0) - startS) / tauS < LEAST_TAUS) return { kind: 'refused', why: 'too-short' }
  const seLog = Math.sqrt(fit.covariance[8] ?? Number.NaN)
  const areaTauS = byArea(timesS, shown)
  return {
    kind: 'fitted',
    tauS,
    uS: (tauS * fit.t * seLog) / NORMAL_TWO_SIDED,
    ci95S: [tauS * Math.exp(-fit.t * seLog), tauS * Math.exp(fit.t * seLog)],
    areaTauS,
    differ: Math.abs(areaTauS / tauS - 1) > MOST_DIFFERENCE,
  }
}

/** End: mean of the last tenth. Trapezoids. */
const byArea = (timesS: Float64Array, shown: Float64Array): number => {
  const end = endOf(shown)
  const step = end - (shown[0] ?? Number.NaN)
  let area = 0
  for (let i = 1; i < timesS.length; i++) {
    const width = (timesS[i] ?? 0) - (timesS[i - 1] ?? 0)
    area += width * (end - ((shown[i] ?? 0) + (shown[i - 1] ?? 0)) / 2)
  }
  return area / step
}
