import { useEffect, useState } from 'preact/hooks'
import type { BatchSummary } from '../../server/wire.ts'
import { FLUID } from '../../server/wording/words.ts'
import { type Answer, get } from '../ask.ts'
import { BatchTable } from '../parts/batch-table.tsx'
import { Choice, Field } from '../parts/field.tsx'
import { ProblemNote } from '../parts/problem-note.tsx'
import { useApp } from '../store.ts'

interface Filter {
  readonly fluid: string
  readonly bench: string
  readonly text: string
}

const NO_FILTER: Filter = { fluid: '', bench: '', text: '' }

const PAGE = 50

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

const TYPING_MS = 250

/** Pages of the list; a new filter starts again, and an answer to an earlier filter is thrown away. */
const useBatches = (filter: Filter) => {
  const [rows, setRows] = useState<readonly BatchSummary[]>([])
  const [answer, setAnswer] = useState<Answer<BatchSummary[]> | null>(null)
  useEffect(() => {
    let wanted = true
    setAnswer(null)
    const timer = setTimeout(() => {
      void get<BatchSummary[]>(pathOf(filter, null)).then((next) => {
        if (!wanted) return
        setAnswer(next)
        setRows(next.kind === 'answer' ? next.value : [])
      })
    }, TYPING_MS)
    return () => {
      wanted = false
      clearTimeout(timer)
    }
  }, [filter])

  const last = rows.at(-1)
  const full = answer?.kind === 'answer' && answer.value.length === PAGE
  const older = async (): Promise<void> => {
    const next = await get<BatchSummary[]>(pathOf(filter, last?.head.opened_at ?? null))
    setAnswer(next)
    if (next.kind === 'answer') setRows([...rows, ...next.value])
  }
  return {
    rows,
    asking: answer === null,
    problem: answer?.kind === 'problem' ? answer.problem : null,
    more: full ? () => void older() : null,
  }
}

const pathOf = ({ fluid, bench, text }: Filter, before: string | null): string => {
  const query = new URLSearchParams({ limit: String(PAGE) })
  if (fluid !== '') query.set('fluid', fluid)
  if (bench !== '') query.set('bench', bench)
  if (text.trim() !== '') query.set('text', text.trim())
  if (before !== null) query.set('before', before)
  return `/api/batches?${query}`
}
