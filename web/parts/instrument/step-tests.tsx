import type { Instrument } from '../../../server/wire.ts'
import { isEnteredLater } from '../../../server/wording/entries.ts'
import { decimal, withU } from '../../../server/wording/format.ts'
import { useSiteClock } from '../frame/site.ts'

/** Working it out and typing a name takes a while and is no dating back. */
const LATE_MS = 10 * 60_000

/** How the probe answered in each step test: a slower one has an older membrane. */
export const StepTests = ({ step_tests }: Pick<Instrument, 'step_tests'>) => {
  const clock = useSiteClock()
  if (step_tests.length === 0) return null
  return (
    <table class="list">
      <caption class="hint">Step tests of the ozone probe, newest first.</caption>
      <thead>
        <tr>
          <th scope="col">When</th>
          <th scope="col">Response time (63 %)</th>
          <th scope="col">By the area</th>
          <th scope="col">Moved</th>
          <th scope="col">By</th>
        </tr>
      </thead>
      <tbody>
        {step_tests.map((test) => (
          <tr key={test.at}>
            <th scope="row">
              {clock.full(test.at)}
              {isEnteredLater(test, LATE_MS) && (
                <span class="hint"> entered later, {clock.full(test.entered_at)}</span>
              )}
            </th>
            <td data-name="Response time (63 %)">{withU(test.tau_s, test.u_tau_s)} s</td>
            <td data-name="By the area">{decimal(test.area_tau_s, 1)} s</td>
            <td data-name="Moved">{movedWords(test)}</td>
            <td data-name="By">{test.by}</td>
          </tr>
        ))}
      </tbody>
    </table>
  )
}

const movedWords = ({ moved_from, moved_to }: Instrument['step_tests'][number]): string =>
  moved_from === null && moved_to === null
    ? 'not stated'
    : `from ${moved_from ?? 'not stated'} into ${moved_to ?? 'not stated'}`
