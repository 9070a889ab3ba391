import type { TrialView } from '../../../server/wire.ts'
import {
  calibrationWords,
  LIMITS,
  METHOD,
  reproduceWords,
} from '../../../server/wording/trial-report-words.ts'
import { boundWords, measuresShown, spreadWords } from '../../../server/wording/trial-words.ts'
import { useSiteClock } from '../frame/site.ts'

/** What a report holds beside the results: what they rest on, their limits, how to work them out again, who signs. */
export const TrialReportParts = ({ trial }: { readonly trial: TrialView }) => {
  const clock = useSiteClock()
  return (
    <>
      <section>
        <h2>Instruments and their calibration</h2>
        {calibrationWords(trial, clock).map((words) => (
          <p key={words}>{words}</p>
        ))}
        {trial.members.length === 0 && <p class="empty">No batch yet.</p>}
      </section>
      <section>
        <h2>How it was worked out</h2>
        <p>{METHOD[trial.kind]}</p>
        <details class="on-paper">
          <summary>Means and spread of each measure</summary>
          {measuresShown(trial).map(({ name, unit, spread, bound }) => (
            <p key={name}>
              <b>{name}:</b> {spreadWords(spread, unit)}
              {bound !== null && `. Tolerance bound: ${boundWords(bound, unit)}`}
            </p>
          ))}
        </details>
        <p class="trial-again">{reproduceWords(trial)}</p>
      </section>
      <section>
        <h2>Limits</h2>
        <p>{LIMITS[trial.kind]}</p>
      </section>
      <section class="sign-off" aria-label="Sign-off, on paper">
        {['Carried out by', 'Reviewed by'].map((who) => (
          <p key={who}>
            <span class="sign-line">{who} (name and signature)</span>
            <span class="sign-date">Date</span>
          </p>
        ))}
      </section>
    </>
  )
}
