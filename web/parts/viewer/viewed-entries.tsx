import type { EntryView } from '../../../server/wire.ts'
import type { SiteClock } from '../../../server/wording/site-clock.ts'
import { useAsked } from '../../ask.ts'
import { ProblemNote } from '../frame/problem-note.tsx'
import { EntryList } from '../record/entry-list.tsx'

const SHOWN = 100

/** Newest entries of the mirrored record. */
export const ViewedEntries = ({
  version,
  clock,
}: {
  readonly version: number
  readonly clock: SiteClock
}) => {
  const [asked] = useAsked<{ entries: EntryView[] }>(`/api/entries?limit=${SHOWN}`, version)
  if (asked.kind === 'asking') return <p class="empty">Asking …</p>
  if (asked.kind === 'problem') return <ProblemNote problem={asked.problem} />
  return asked.value.entries.length === 0 ? (
    <p>No entry yet.</p>
  ) : (
    <EntryList entries={asked.value.entries} clock={clock} newest={SHOWN} />
  )
}
