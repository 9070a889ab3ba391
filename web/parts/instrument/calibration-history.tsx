import type { Instrument } from '../../../server/wire.ts'
import { isEnteredLater } from '../../../server/wording/entries.ts'
import { decimal, signed } from '../../../server/wording/format.ts'
import { CHECKED, COMPENSATION } from '../../../server/wording/words.ts'
import { useSiteClock } from '../frame/site.ts'

const FOUND = {
  within: 'within limit',
  outside: 'over limit',
  'cannot-tell': 'too close to say',
  'no-limit': 'no limit stated',
} as const

/** Drift: how slope and zero went from one calibration to the next, and how far off the meter was found. */
export const CalibrationHistory = ({ history }: Pick<Instrument, 'history'>) => {
  const clock = useSiteClock()
  if (history.length === 0) return null
  return (
    <table class="list">
      <caption class="hint">
        Drift: calibrations so far, newest first. As found counts the calibration in force until then.
      </caption>
      <thead>
        <tr>
          <th scope="col">When</th>
          <th scope="col">Reference</th>
          <th scope="col">Slope</th>
          <th scope="col">Zero</th>
          <th scope="col">As found</th>
          <th scope="col">As left</th>
          <th scope="col">Linearity</th>
          <th scope="col">By</th>
        </tr>
      </thead>
      <tbody>
        {history.map((c) => (
          <tr key={c.at}>
            <th scope="row">
              {clock.full(c.at)}
              {isEnteredLater(c) && <span class="hint"> entered later, {clock.full(c.entered_at)}</span>}
            </th>
            <td data-name="Reference">
              {c.method}
              <Conditions calibration={c} />
            </td>
            <td data-name="Slope">
              {decimal(c.slope, 3)} ± {decimal(c.u_slope_percent, 1)} %
            </td>
            <td data-name="Zero">
              {decimal(c.zero, 2)} ± {decimal(c.u_zero, 2)}
            </td>
            <td data-name="As found">
              {c.as_found_percent === null
                ? 'not stated'
                : `${signed(c.as_found_percent, 1)} %, ${FOUND[c.as_found]}`}
            </td>
            <td data-name="As left">
              {c.as_left_percent === null ? 'not stated' : `${signed(c.as_left_percent, 1)} %`}
            </td>
            <td data-name="Linearity">
              {c.linearity === null
                ? 'not told'
                : `${decimal(c.linearity.furthest_percent, 1)} ± ${decimal(c.linearity.u_percent, 1)} % of span, ${FOUND[c.linearity.word]}`}
            </td>
            <td data-name="By">{c.by}</td>
          </tr>
        ))}
      </tbody>
    </table>
  )
}

type Past = Instrument['history'][number]

/** At what temperature, what the meter compensates, and where each reference value came from. */
const Conditions = ({ calibration: c }: { readonly calibration: Past }) => {
  const at = [
    ...(c.temperature_c === null ? [] : [`at ${decimal(c.temperature_c, 1)} °C`]),
    ...(c.compensation === null
      ? []
      : [`meter compensates: ${COMPENSATION[c.compensation] ?? c.compensation}`]),
    ...(c.certificate === null ? [] : [`certificate ${c.certificate}`]),
  ]
  return (
    <>
      {at.length > 0 && <span class="hint"> ({at.join('; ')})</span>}
      {c.references.length > 0 && (
        <details>
          <summary>Samples ({c.references.length})</summary>
          {c.references.map((words) => (
            <p class="hint" key={words}>
              {words}
            </p>
          ))}
        </details>
      )}
    </>
  )
}

/** Named where the sheet does not say already which instrument it is. */
type Doubt = Instrument['in_doubt'][number] & { readonly instrument?: string }

/** Which batches lie since the last good check, where one failed. */
export const InDoubt = ({ in_doubt }: { readonly in_doubt: readonly Doubt[] }) => {
  const clock = useSiteClock()
  return (
    <>
      {in_doubt.map((doubt) => (
        <div class="warning" key={`${doubt.kind} ${doubt.instrument}`}>
          <p>
            <b>Found off its limit</b> ({CHECKED[doubt.kind]}
            {doubt.instrument !== undefined && `, ${doubt.instrument}`}) {clock.full(doubt.failed_at)};{' '}
            {doubt.good_since === null
              ? 'there is no good check before it'
              : `last known to be good ${clock.full(doubt.good_since)}`}
            .{' '}
            {doubt.batches.length === 0
              ? 'No batch lies in between.'
              : `Batches measured in between, whose values are in doubt (${doubt.batches.length}):`}
          </p>
          {doubt.batches.length > 0 && (
            <ul class="inline-list">
              {doubt.batches.map((batch) => (
                <li key={batch.id}>
                  <a href={`/batches/${batch.id}`}>{batch.number}</a>
                </li>
              ))}
            </ul>
          )}
        </div>
      ))}
    </>
  )
}
