import type { PastCheck } from '../../server/wire.ts'
import { CHECKED } from '../words.ts'
import { useSiteClock } from './site.ts'

const OUTCOME = { within: 'passed', outside: 'failed', 'cannot-tell': 'too close to say' } as const

export const CheckList = ({ checks }: { readonly checks: readonly PastCheck[] }) => {
  const clock = useSiteClock()
  if (checks.length === 0) return <p class="empty">No check is on file.</p>
  return (
    <table class="list">
      <caption class="hint">Checks so far, newest first.</caption>
      <thead>
        <tr>
          <th scope="col">When</th>
          <th scope="col">What</th>
          <th scope="col">Held against</th>
          <th scope="col">Found</th>
          <th scope="col">Outcome</th>
          <th scope="col">Due again</th>
        </tr>
      </thead>
      <tbody>
        {checks.map((check) => (
          <tr key={`${check.at} ${check.kind} ${check.instrument}`}>
            <th scope="row">{clock.full(check.at)}</th>
            <td data-name="What">
              {CHECKED[check.kind]}, {check.instrument}
            </td>
            <td data-name="Held against">{check.reference}</td>
            <td data-name="Found">
              {check.found} for {check.expected} {check.unit}, limit {check.limit}
            </td>
            <td data-name="Outcome">{OUTCOME[check.outcome]}</td>
            <td data-name="Due again">
              {check.due_at === null ? 'no date' : clock.full(check.due_at)}
              {check.overdue && <b>, overdue</b>}
            </td>
          </tr>
        ))}
      </tbody>
    </table>
  )
}
