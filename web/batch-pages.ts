import { useEffect, useState } from 'preact/hooks'
import type { BatchSummary, Problem } from '../server/wire.ts'
import { get } from './ask.ts'

export interface Filter {
  readonly fluid: string
  readonly bench: string
  readonly text: string
}

const PAGE = 50
const TYPING_MS = 250
/** What the server may take to work batches out before it answers with what it has. */
const PATIENCE_MS = 100

/** Pages of the list; a new filter starts again, and an answer to an earlier filter is thrown away. */
export const useBatches = (filter: Filter) => {
  const [rows, setRows] = useState<readonly BatchSummary[]>([])
  const [problem, setProblem] = useState<Problem | null>(null)
  const [asking, setAsking] = useState(true)
  const [full, setFull] = useState(false)
  const load = async (before: string | null, shown: readonly BatchSummary[], wanted: () => boolean) => {
    for await (const answer of pages(filter, before)) {
      if (!wanted()) return
      setAsking(false)
      setProblem(answer.kind === 'problem' ? answer.problem : null)
      if (answer.kind === 'problem') return
      setFull(answer.value.length === PAGE)
      setRows([...shown, ...answer.value])
    }
  }
  useEffect(() => {
    let wanted = true
    setAsking(true)
    const timer = setTimeout(() => void load(null, [], () => wanted), TYPING_MS)
    return () => {
      wanted = false
      clearTimeout(timer)
    }
  }, [filter])
  const last = rows.at(-1)
  const more = () => void load(last?.head.opened_at ?? null, rows, () => true)
  return { rows, asking, problem, more: full ? more : null }
}

/** One page, asked for again while rows of it wait for their results; once none comes any more, without patience. */
async function* pages(filter: Filter, before: string | null) {
  let waiting = Number.POSITIVE_INFINITY
  for (;;) {
    const isStuck = waiting === 0
    const answer = await get<BatchSummary[]>(pathOf(filter, before, isStuck ? null : PATIENCE_MS))
    yield answer
    const left = answer.kind === 'answer' ? answer.value.filter((row) => row.pending === true).length : 0
    if (left === 0 || isStuck) return
    waiting = left < waiting ? left : 0
  }
}

const pathOf = ({ fluid, bench, text }: Filter, before: string | null, patience: number | null): string => {
  const query = new URLSearchParams({ limit: String(PAGE) })
  if (patience !== null) query.set('patience_ms', String(patience))
  if (fluid !== '') query.set('fluid', fluid)
  if (bench !== '') query.set('bench', bench)
  if (text.trim() !== '') query.set('text', text.trim())
  if (before !== null) query.set('before', before)
  return `/api/batches?${query}`
}
