import type { BatchRecord } from '../../server/wire.ts'
import { ALL_CAUTIONS, NOT_A_DEVICE } from '../../server/wording/cautions.ts'
import { useAsked } from '../ask.ts'
import { CautionList } from '../parts/bench/caution-list.tsx'
import { FitTable } from '../parts/bench/fit-table.tsx'
import { OutsideNote } from '../parts/bench/outside-note.tsx'
import { VerdictList } from '../parts/bench/verdict-list.tsx'
import { ProblemNote } from '../parts/frame/problem-note.tsx'
import { SimulatedMark } from '../parts/frame/simulated-mark.tsx'
import { useSiteClock } from '../parts/frame/site.ts'
import { BatchNotes } from '../parts/record/batch-notes.tsx'
import { EntryList } from '../parts/record/entry-list.tsx'
import { RecordChart } from '../parts/record/record-chart.tsx'
import {
  Anchor,
  Gaps,
  RecordSettings,
  RecordSummary,
  Removed,
  WorkedFrom,
} from '../parts/record/record-parts.tsx'
import { RecordReview } from '../parts/record/record-review.tsx'
import { useUnit } from '../remembered.ts'
import { useApp } from '../store.ts'

/** Everything known of one batch, as it can be printed and kept. */
export const RecordScreen = ({ batch }: { readonly batch: string }) => {
  const newest = useApp((s) => s.newest.get(batch) ?? 0)
  const [asked] = useAsked<BatchRecord>(`/api/batches/${encodeURIComponent(batch)}`, newest)
  if (asked.kind === 'asking')
    return (
      <div class="page">
        <h1>Record</h1>
        <p class="empty">Asking …</p>
      </div>
    )
  if (asked.kind === 'problem')
    return (
      <div class="page">
        <h1>Record</h1>
        <ProblemNote problem={asked.problem} />
      </div>
    )
  return <Record record={asked.value} />
}

const Record = ({ record }: { readonly record: BatchRecord }) => {
  const clock = useSiteClock()
  const [unit] = useUnit()
  const site = useApp((s) => s.site)
  const { head } = record.summary
  return (
    <article class="page record">
      <h1>Batch {head.number}</h1>
      {head.simulated && site?.simulated !== true && <SimulatedMark what="this batch is not from a meter." />}
      <Downloads batch={head.id} />
      <p class="hint">Times are {clock.zone}.</p>
      <Removed record={record} clock={clock} />
      <OutsideNote verdicts={record.verdicts} />
      <RecordSummary record={record} unit={unit} />
      <RecordSettings head={head} clock={clock} unit={unit} />
      <RecordChart record={record} clock={clock} unit={unit} />
      <section>
        <h2>Fits</h2>
        {record.fits.length === 0 ? (
          <p>No fit.</p>
        ) : (
          <FitTable fits={record.fits} unit={unit} clock={clock} />
        )}
        <VerdictList verdicts={record.verdicts} />
        <BatchNotes notes={record.notes} />
      </section>
      <Gaps gaps={record.gaps} clock={clock} />
      <RecordReview record={record} clock={clock} />
      <section>
        <h2>Entries</h2>
        <EntryList entries={record.entries} clock={clock} />
      </section>
      <section>
        <h2>Cautions</h2>
        <CautionList cautions={ALL_CAUTIONS} />
        <p>{NOT_A_DEVICE}</p>
      </section>
      <WorkedFrom record={record} clock={clock} unit={unit} />
      <Anchor record={record} />
    </article>
  )
}

const Downloads = ({ batch }: { readonly batch: string }) => {
  const base = `/api/batches/${encodeURIComponent(batch)}`
  return (
    <p class="downloads screen-only">
      <button type="button" onClick={() => print()}>
        Print
      </button>
      <a href={`${base}/record.pdf?paper=a4`}>PDF (A4)</a>
      <a href={`${base}/record.pdf?paper=letter`}>PDF (Letter)</a>
      <a href={`${base}/readings.csv`} download>
        Readings (CSV)
      </a>
      <a href={`${base}/record.csv`} download>
        Record (CSV)
      </a>
      <a href={`${base}/analysis`}>Analysis (JSON)</a>
      <a href={base}>Record (JSON)</a>
    </p>
  )
}
