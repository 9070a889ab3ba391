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
  for (let from = outliers.indexOf(1); from >= 0; ) {
    let end = from
    while (outliers[end] === 1) end++
    const code = codeOf(end - from > SPIKE_RUN ? 'jump' : 'spike')
    for (let j = from; j < end; j++) aside[indices[j] as number] = code
    from = outliers.indexOf(1, end)
  }
}

/** Everything set aside, in time. Spikes are single items; other runs of one reason are one item with their count. */
export const setAsideList = (
  input: AnalysisInput,
  { timesS }: CleanReadings,
  aside: AsideCodes,
): SetAside[] => {
  const list: SetAside[] = []
  for (let from = nextAside(aside, 0); from < aside.length; ) {
    const code = aside[from] as number
    let end = from + 1
    while (end < aside.length && aside[end] === code && code !== SPIKE) end++
    const why = reasonOf(code)
    if (why !== undefined) list.push(item(input, timesS, from, end - 1, why))
    from = nextAside(aside, end)
  }
  return list
}

/** The first reading from one on that is set aside; stretches of usable ones are passed over eight at a time. */
const nextAside = (aside: AsideCodes, from: number): number => {
  const words = new Float64Array(aside.buffer, 0, aside.buffer.byteLength >> 3)
  let i = from
  while (i < aside.length && aside[i] === USABLE) {
    const byte = aside.byteOffset + i
    i += byte % 8 === 0 && i + 8 <= aside.length && words[byte / 8] === 0 ? 8 : 1
  }
  return i
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
