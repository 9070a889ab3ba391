/** Least and greatest, never one number. An end is null where it is without limit (a target that is never reached). */
export interface PlanBand {
  readonly low: number | null
  readonly high: number | null
}

export const bandOf = (values: readonly number[]): PlanBand => ({
  low: finite(Math.min(...values)),
  high: finite(Math.max(...values)),
})

const finite = (value: number): number | null => (Number.isFinite(value) ? value : null)

export const scaled = ({ low, high }: PlanBand, factor: number): PlanBand => ({
  low: low === null ? null : low * factor,
  high: high === null ? null : high * factor,
})
