import type { TimeUs } from '../../ingest/units.ts'

/** A fitted phase as points to draw; the band is the 95 % interval of the mean, not of single readings. */
export interface FittedCurve {
  readonly kind: 'rise' | 'purge' | 'decay'
  readonly timesUs: readonly TimeUs[]
  readonly mean: readonly number[]
  readonly low: readonly number[]
  readonly high: readonly number[]
}
