import type { FittedCurve } from '../analysis/curves.ts'
import type { Analysis } from '../analysis/schema.ts'
import type { MeasuredConditions } from '../model/measured-conditions.ts'

/** A batch as trials look at it: with what instruments measured beside the flask, and its fitted curves. */
export interface Analysed {
  readonly analysis: Analysis
  readonly conditions: MeasuredConditions
  readonly curves: readonly FittedCurve[]
}
