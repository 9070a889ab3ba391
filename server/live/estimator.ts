import type { AnalysisInput } from '../analysis/input.ts'
import type { LiveEstimate } from '../analysis/live-estimate.ts'

/** The kinetics as the server calls them: one batch in, everything the screens show out. */
export type Estimator = (input: AnalysisInput, curvePoints?: number, readings?: number) => LiveEstimate

/** Points per fitted phase on a chart. */
export const CURVE_POINTS = 80

/** Readings a fitted phase is drawn and its residuals are looked at with. */
export const SEEN_READINGS = 60
