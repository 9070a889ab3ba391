import { at } from '../fit/linear-algebra.ts'
import { isoAt } from './batch-context.ts'
import type { AsideReason, CleanReadings } from './clean-readings.ts'
import type { AnalysisInput } from './input.ts'
import type { SetAside } from './schema.ts'

/** Outliers in runs up to this long are spikes; longer runs are jumps such as foam or a moved probe. */
const SPIKE_RUN = 5

/** A fit's outliers, marked in the list of all readings as spikes or jumps. */
export const markOutlierRuns = (
  indices: Int32Array,
  outliers: Uint8Array,
  aside: (AsideReason | undefined)[],
): void => {
  let run: number[] = []
  const flush = () => {
    const why = run.length > SPIKE_RUN ? 'jump' : 'spike'
    for (const i of run) aside[i] = why
    run = []
  }
  outliers.forEach((o, i) => {
    if (o === 1) run.push(at(indices, i))
    else flush()
  })
  flush()
}

/** Everything set aside, in time. Spikes are single items; other runs of one reason are one item with their count. */
export const setAsideList = (
  input: AnalysisInput,
  { timesS }: CleanReadings,
  aside: readonly (AsideReason | undefined)[],
): SetAside[] => {
  const list: SetAside[] = []
  let from = 0
  for (let i = 1; i <= aside.length; i++) {
    const why = aside[from]
    if (i < aside.length && aside[i] === why && why !== 'spike') continue
    if (why !== undefined) list.push(item(input, timesS, from, i - 1, why))
    from = i
  }
  return list
}

const item = (
  input: AnalysisInput,
  timesS: Float64Array,
  from: number,
  to: number,
  why: AsideReason,
): SetAside => ({
  time: isoAt(input, at(timesS, from)),
  why,
  ...(to > from ? { until: isoAt(input, at(timesS, to)), count: to - from + 1 } : {}),
})
