import { useRef, useState } from 'preact/hooks'
import type { RefusedReadings } from '../../../server/wire.ts'
import { useAsked } from '../../ask.ts'
import { ProblemNote } from '../frame/problem-note.tsx'
import { useSiteClock } from '../frame/site.ts'

const AT_FIRST = 10
const MORE = 100
/** As many as one answer gives out. */
const MOST = 1000

/** Readings that InfluxDB will not take: the newest, and how many more there are. */
export const RefusedList = ({ count }: { readonly count: number }) => {
  const [limit, setLimit] = useState(AT_FIRST)
  const [asked] = useAsked<RefusedReadings>(`/api/forwarding/refused?limit=${limit}`, count)
  // a shorter list stays on screen while the longer one is on its way
  const last = useRef<RefusedReadings | null>(null)
  if (asked.kind === 'answer') last.current = asked.value
  if (asked.kind === 'problem') return <ProblemNote problem={asked.problem} />
  if (last.current === null) return null
  const { readings: rows, count: all } = last.current
  const more = all - rows.length
  return (
    <>
      <RefusedTable rows={rows} of="Reading" />
      {more > 0 && (
        <p>
          {more} more.{' '}
          {limit < MOST ? (
            <button type="button" onClick={() => setLimit(Math.min(MOST, limit + MORE))}>
              Show {Math.min(MORE, more)} more
            </button>
          ) : (
            'The HTTP API gives out all of them: /api/forwarding/refused.'
          )}
        </p>
      )}
    </>
  )
}

interface TableProps {
  readonly rows: RefusedReadings['readings']
  readonly of: 'Reading' | 'Entry'
}

export const RefusedTable = ({ rows, of }: TableProps) => {
  const clock = useSiteClock()
  if (rows.length === 0) return null
  return (
    <table class="list">
      <thead>
        <tr>
          <th scope="col">Refused, newest first</th>
          <th scope="col">{of} of</th>
          <th scope="col">The server’s words</th>
        </tr>
      </thead>
      <tbody>
        {rows.map((row) => (
          <tr key={row.seq}>
            <th scope="row">{row.series}</th>
            <td data-name={`${of} of`}>{clock.full(row.at)}</td>
            <td data-name="The server’s words">{row.words}</td>
          </tr>
        ))}
      </tbody>
    </table>
  )
}
