import { useEffect, useState } from 'preact/hooks'
import type { EntryView, Problem } from '../../../server/wire.ts'
import { get } from '../../ask.ts'
import { ProblemNote } from '../frame/problem-note.tsx'
import { useSiteClock } from '../frame/site.ts'
import { EntryList } from '../record/entry-list.tsx'

const PAGE = 50

/** What happened with people and displays, newest first, a page at a time; a change puts the newest page first again. */
export const PeopleHistory = ({ version }: { readonly version: unknown }) => {
  const clock = useSiteClock()
  const { entries, problem, older } = useHistory(version)
  return (
    <section class="history">
      <h2>What happened</h2>
      {problem !== null && <ProblemNote problem={problem} />}
      <EntryList entries={entries} clock={clock} newest={entries.length} />
      {older !== null && (
        <button type="button" onClick={older}>
          Older
        </button>
      )}
    </section>
  )
}

const useHistory = (version: unknown) => {
  const [entries, setEntries] = useState<readonly EntryView[]>([])
  const [problem, setProblem] = useState<Problem | null>(null)
  const [more, setMore] = useState(false)
  const ask = async (before: number | null, wanted: () => boolean): Promise<void> => {
    const query = new URLSearchParams({ limit: String(PAGE) })
    if (before !== null) query.set('before', String(before))
    const answer = await get<{ entries: EntryView[] }>(`/api/people/history?${query}`)
    if (!wanted()) return
    setProblem(answer.kind === 'problem' ? answer.problem : null)
    if (answer.kind === 'problem') return
    const page = answer.value.entries
    setMore(page.length === PAGE)
    setEntries((shown) => (before === null ? page : [...shown, ...page]))
  }
  useEffect(() => {
    let wanted = true
    void ask(null, () => wanted)
    return () => {
      wanted = false
    }
  }, [version])
  const last = entries.at(-1)
  return {
    entries,
    problem,
    older: more && last !== undefined ? () => void ask(last.seq, () => true) : null,
  }
}
