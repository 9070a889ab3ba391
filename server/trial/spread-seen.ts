import { logSpreadOf, numberIn } from '../report/clinic-history.ts'
import type { BatchSummary, TrialSpreadSeen } from '../wire.ts'

/** One filling that is to be planned for. */
export interface Filling {
  readonly volumeMl: number | undefined
  readonly flowMlPerMin: number | undefined
}

/** Batches whose volume and flow lie that near speak for the time of another. Engineering judgement. */
const WITHIN = 0.2

/** How this clinic's own finished batches of a fluid spread; null where fewer than three speak for it. */
export const spreadSeen = (finished: readonly BatchSummary[], filling: Filling): TrialSpreadSeen => {
  const near = finished.filter(
    ({ head }) =>
      isNear(head.volume_ml, filling.volumeMl) && isNear(head.flow_ml_per_min, filling.flowMlPerMin),
  )
  const percent = (values: readonly number[]) => {
    const spread = logSpreadOf(values)
    return spread === undefined ? null : 100 * spread.sdLog
  }
  const times = near.flatMap((s) => numberIn(s.t95_min) ?? [])
  const typical = logSpreadOf(times)
  return {
    batches: near.length,
    typical_min: typical === undefined ? null : Math.exp(typical.meanLog),
    t95_spread_percent: percent(times),
    plateau_spread_percent: percent(near.flatMap((s) => numberIn(s.plateau_mg_l) ?? [])),
    half_life_spread_percent: percent(finished.flatMap((s) => numberIn(s.half_life_20c_min) ?? [])),
  }
}

const isNear = (value: number | null, wanted: number | undefined): boolean =>
  wanted === undefined || (value !== null && Math.abs(value / wanted - 1) <= WITHIN)
