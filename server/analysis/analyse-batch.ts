import { isoAt } from './batch-context.ts'
import { type BatchFits, fitBatch } from './fit-batch.ts'
import type { AnalysisInput } from './input.ts'
import type { Analysis } from './schema.ts'
import { setAsideList } from './set-aside.ts'

/** The analysis of one batch up to `nowS`. Pure: the same input gives the same document. */
export const analyseBatch = (input: AnalysisInput): Analysis => describeBatch(fitBatch(input))

/** Writes the fits of a batch down as the document others read. */
export const describeBatch = (fits: BatchFits): Analysis => ({
  schema: 'spargewatch.analysis/1',
  readings: fits.readings.values.length,
  set_aside: setAsideList(fits.input, fits.readings, fits.aside),
  phases: fits.results.map((r) => r.report),
  verdicts: [],
  notes: disagreementNotes(fits),
})

const disagreementNotes = ({ input, disagreements }: BatchFits): string[] =>
  disagreements.map(({ kind, signalS, enteredS }) => {
    const words = kind.replace('-', ' ')
    return enteredS === undefined
      ? `the reading turns at ${isoAt(input, signalS)} as at ${words}, which nobody entered`
      : `${words} was entered at ${isoAt(input, enteredS)}; the reading turns at ${isoAt(input, signalS)}`
  })
