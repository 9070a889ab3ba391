import { useState } from 'preact/hooks'
import { FLUID } from '../../server/wording/words.ts'
import { type Filter, useBatches } from '../batch-pages.ts'
import { Choice, Field } from '../parts/form/field.tsx'
import { ProblemNote } from '../parts/frame/problem-note.tsx'
import { BatchTable } from '../parts/record/batch-table.tsx'
import { useApp } from '../store.ts'

const NO_FILTER: Filter = { fluid: '', bench: '', text: '' }

/** Batches, newest first, with what was learnt of each and how surely. */
export const BatchesScreen = () => {
  const [filter, setFilter] = useState(NO_FILTER)
  const { rows, problem, asking, more } = useBatches(filter)
  const site = useApp((s) => s.site)
  const set = (key: keyof Filter) => (value: string) => setFilter({ ...filter, [key]: value })
  return (
    <div class="page">
      <h1>Batches</h1>
      <form class="filter" onSubmit={(event) => event.preventDefault()}>
        <Choice
          label="Fluid"
          value={filter.fluid}
          onValue={set('fluid')}
          options={Object.entries(FLUID)}
          none="every"
        />
        <Choice
          label="Bench"
          value={filter.bench}
          onValue={set('bench')}
          options={(site?.benches ?? []).map((b) => [b.id, b.name] as const)}
          none="every"
        />
        <Field label="Text" value={filter.text} onValue={set('text')} hint="Number, lot, reference or name" />
      </form>
      {problem !== null && <ProblemNote problem={problem} />}
      {rows.length > 0 && <BatchTable rows={rows} />}
      {rows.length === 0 && problem === null && (
        <p class="empty">{asking ? 'Asking …' : 'No batch matches.'}</p>
      )}
      {more !== null && (
        <button type="button" class="big" onClick={more}>
          Older batches
        </button>
      )}
    </div>
  )
}
