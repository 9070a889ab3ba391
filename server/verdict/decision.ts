export type DecisionWord = 'above' | 'below' | 'too-close' | 'not-calibrated'

/** Standard uncertainty of the calibration in force: part of the value, and mg/L at zero. */
export interface CalibrationUncertainty {
  readonly uRelative: number
  readonly uZeroMgPerL: number
}

export interface Decided {
  readonly word: DecisionWord
  readonly lower: number
  readonly upper: number
}

const NORMAL_ONE_SIDED = 1.644854

/**
 * The decision rule: *above* only if the one-sided 95 % lower bound is at or over the target, *below* only if the upper
 * bound is under it, else too close to say. Fit (type A, t·se) and calibration (type B) add in squares (JCGM 100:2008,
 * 5.1). Without a calibration no statement is made, and the bounds carry the fit alone.
 */
export const decide = (
  potency: { readonly value: number; readonly se: number; readonly tOneSided: number },
  target: number,
  calibration: CalibrationUncertainty | undefined,
): Decided => {
  const half = Math.hypot(
    potency.tOneSided * potency.se,
    NORMAL_ONE_SIDED * calibrationU(potency.value, calibration),
  )
  const lower = potency.value - half
  const upper = potency.value + half
  if (calibration === undefined) return { word: 'not-calibrated', lower, upper }
  if (lower >= target) return { word: 'above', lower, upper }
  return { word: upper < target ? 'below' : 'too-close', lower, upper }
}

/** Standard uncertainty from calibration at a value, mg/L. 0 when there is none on file. */
export const calibrationU = (value: number, calibration: CalibrationUncertainty | undefined): number =>
  calibration === undefined ? 0 : Math.hypot(calibration.uRelative * value, calibration.uZeroMgPerL)
