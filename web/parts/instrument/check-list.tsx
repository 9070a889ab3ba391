import type { PastCheck } from '../../../server/wire.ts'
import { isEnteredLater } from '../../../server/wording/entries.ts'
import { decimal, signed } from '../../../server/wording/format.ts'
import { CHECKED } from '../../../server/wording/words.ts'
import { useSiteClock } from '../frame/site.ts'

const OUTCOME = { within: 'passed', outside: 'failed', 'cannot-tell': 'too close to say' } as const

/** Each check as found and as left, and how far the instrument drifted since the one before. */
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
          <th scope="col">As found</th>
          <th scope="col">As left</th>
          <th scope="col">Drift since the one before</th>
          <th scope="col">Due again</th>
        </tr>
      </thead>
      <tbody>
        {checks.map((check) => (
          <tr key={`${check.at} ${check.kind} ${check.instrument}`}>
            <th scope="row">
              {clock.full(check.at)}
              {isEnteredLater(check) && (
                <span class="hint"> entered later, {clock.full(check.entered_at)}</span>
              )}
            </th>
            <td data-name="What">
              {CHECKED[check.kind]}, {check.instrument}
            </td>
            <td data-name="Held against">{check.reference}</td>
            <td data-name="As found">
              {check.found} for {check.expected}
              {check.u > 0 ? ` ± ${decimal(check.u, 2)}` : ''} {check.unit}, limit {check.limit}:{' '}
              <b>{OUTCOME[check.outcome]}</b>
            </td>
            <td data-name="As left">
              {check.left === null || check.outcome_left === null
                ? 'not adjusted'
                : `${check.left} ${check.unit}: ${OUTCOME[check.outcome_left]}`}
            </td>
            <td data-name="Drift since the one before">
              {check.change === null ? 'first check' : `${signed(check.change, 2)} ${check.unit}`}
            </td>
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
