import type { BatchSummary } from '../wire.ts'

/** What can be said of a batch before it is worked out: its head. */
export const pendingSummary = (head: BatchSummary['head']): BatchSummary => ({
  head,
  plateau_mg_l: null,
  t95_min: null,
  half_life_min: null,
  half_life_20c_min: null,
  mean_temperature_c: null,
  measured_against: [],
  pending: true,
})

/**
 * Summaries in the order given, worked out until the patience is over; what is left then is told by its head alone, so that
 * a list stands at once and its results come as they are found. At least one is worked out each time.
 */
export const summariesWithin = <B>(
  batches: readonly B[],
  reports: {
    readonly remembered: (batch: B) => unknown
    readonly summary: (batch: B) => BatchSummary
    readonly headOf: (batch: B) => BatchSummary['head']
  },
  isOver: () => boolean,
): BatchSummary[] => {
  let worked = 0
  return batches.map((batch) => {
    if (reports.remembered(batch) !== undefined) return reports.summary(batch)
    if (worked > 0 && isOver()) return pendingSummary(reports.headOf(batch))
    worked += 1
    return reports.summary(batch)
  })
}
