import type { EntryView } from '../../../server/wire.ts'
import {
  type EntryLine,
  entryHead,
  entryLines,
  entryWords,
  isEnteredLater,
} from '../../../server/wording/entries.ts'
import { whoWords } from '../../../server/wording/people-words.ts'
import type { SiteClock } from '../../../server/wording/site-clock.ts'

interface EntryListProps {
  readonly entries: readonly EntryView[]
  readonly clock: SiteClock
  /** The record shows everything; beside a running batch the newest lines do. */
  readonly newest?: number
}

/** The record as written: who, what, when it happened, when it was entered if later, and why. */
export const EntryList = ({ entries, clock, newest }: EntryListProps) => {
  const lines = entryLines(entries)
  const shown = newest === undefined ? lines : newestFirst(lines).slice(0, newest)
  return (
    <ol class="entries">
      {shown.map((line) => (
        <Line key={line.entry.id} line={line} clock={clock} />
      ))}
    </ol>
  )
}

const newestFirst = (lines: readonly EntryLine[]): readonly EntryLine[] =>
  [...lines].sort((a, b) => b.entry.seq - a.entry.seq)

const Line = ({
  line: { entry, undone, corrections, signature },
  clock,
}: {
  line: EntryLine
  clock: SiteClock
}) => {
  const late = isEnteredLater({ at: entry.happened_at, entered_at: entry.entered_at })
  const what = entryHead(entry)
  const words = entryWords(entry)
  return (
    <li class={undone ? 'entry entry-undone' : 'entry'}>
      <time class="entry-time">{clock.full(entry.happened_at)}</time>
      <div>
        <p>
          {undone ? <s>{what}</s> : <b>{what}</b>}
          {words !== '' && (undone ? <s>: {words}</s> : `: ${words}`)}
          {undone && ' (taken back)'}
        </p>
        {corrections.map((c) => (
          <p key={c.id} class="corrected">
            Corrected: {entryWords(c)} ({c.who.name}, {clock.full(c.entered_at)}
            {c.why !== null && `; ${c.why}`})
          </p>
        ))}
        <p class="entry-who">
          {whoWords(entry, signature, clock)}
          {late && `, entered ${clock.full(entry.entered_at)}`}
          {entry.why !== null && `; why: ${entry.why}`}
        </p>
      </div>
    </li>
  )
}
