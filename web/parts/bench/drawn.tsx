import type { EntryView } from '../../../server/wire.ts'
import { entryLines, entryWords } from '../../../server/wording/entries.ts'
import type { SiteClock } from '../../../server/wording/site-clock.ts'

/** The number on this screen belongs to the flask; what left it keeps the value it had when drawn. */
export const Drawn = ({
  entries,
  clock,
}: {
  readonly entries: readonly EntryView[]
  readonly clock: SiteClock
}) => {
  const drawn = entryLines(entries).filter(({ entry, undone }) => entry.kind === 'drawn-up' && !undone)
  if (drawn.length === 0) return null
  return (
    <section class="drawn">
      <h2>Drawn up</h2>
      <ul>
        {drawn.map(({ entry }) => (
          <li key={entry.id}>
            <b>{clock.time(entry.happened_at)}</b> {entryWords(entry)}{' '}
            <a class="screen-only" href={`/api/batches/${entry.batch}/label.pdf?entry=${entry.id}`}>
              Label to print
            </a>
          </li>
        ))}
      </ul>
      <p class="hint">Values at draw. They are not the value in the syringe now.</p>
    </section>
  )
}
