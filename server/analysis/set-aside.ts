import { at } from '../fit/linear-algebra.ts'
import { type AsideCodes, type AsideReason, codeOf, reasonOf, USABLE } from './aside.ts'
import { isoAt } from './batch-context.ts'
import type { CleanReadings } from './clean-readings.ts'
import type { AnalysisInput } from './input.ts'
import type { SetAside } from './schema.ts'

/** Outliers in runs up to this long are spikes; longer runs are jumps such as foam or a moved probe. */
const SPIKE_RUN = 5
const SPIKE = codeOf('spike')

/** A fit's outliers, marked in the list of all readings as spikes or jumps. */
export const markOutlierRuns = (indices: Int32Array, outliers: Uint8Array, aside: AsideCodes): void => {
  let from = 0
  for (let i = 0; i <= outliers.length; i++) {
    if (outliers[i] === 1) continue
    const code = codeOf(i - from > SPIKE_RUN ? 'jump' : 'spike')
    for (let j = from; j < i; j++) aside[indices[j] as number] = code
    from = i + 1
  }
}

/** Everything set aside, in time. Spikes are single items; other runs of one reason are one item with their count. */
export const setAsideList = (
  input: AnalysisInput,
  { timesS }: CleanReadings,
  aside: AsideCodes,
): SetAside[] => {
  const list: SetAside[] = []
  let from = 0
  for (let i = 1; i <= aside.length; i++) {
    const code = aside[from] as number
    if (i < aside.length && aside[i] === code && code !== SPIKE) continue
    const why = code === USABLE ? undefined : reasonOf(code)
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
