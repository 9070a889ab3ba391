import type { TrialView } from '../../server/wire.ts'
import {
  boundWords,
  measuresShown,
  planFacts,
  spreadWords,
  TRIAL_ANSWER,
  TRIAL_KIND,
} from '../../server/wording/trial-words.ts'
import { useAsked } from '../ask.ts'
import { Fact } from '../parts/fact.tsx'
import { ProblemNote } from '../parts/problem-note.tsx'
import { useSiteClock } from '../parts/site.ts'
import { TrialBatches } from '../parts/trial-batches.tsx'
import { TrialFound } from '../parts/trial-found.tsx'
import { TrialPlots } from '../parts/trial-plots.tsx'
import { useApp } from '../store.ts'

/** One trial: the answer in one sentence, then all that a reviewer needs to doubt it. */
export const TrialScreen = ({ trial: id }: { readonly trial: string }) => {
  const newest = useApp((s) => s.outside)
  const [asked, again] = useAsked<TrialView>(`/api/trials/${encodeURIComponent(id)}`, newest)
  if (asked.kind !== 'answer')
    return (
      <div class="page">
        <h1>Trial</h1>
        {asked.kind === 'problem' ? <ProblemNote problem={asked.problem} /> : <p class="empty">Asking …</p>}
      </div>
    )
  const trial = asked.value
  return (
    <div class="page record">
      <h1>{trial.title}</h1>
      <Answer trial={trial} />
      <TrialFound trial={trial} />
      <TrialPlots trial={trial} />
      <TrialBatches trial={trial} onEntered={again} />
      <Plan trial={trial} />
    </div>
  )
}

const Answer = ({ trial }: { readonly trial: TrialView }) => {
  const clock = useSiteClock()
  const { result, with_excluded: all, closed, planned } = trial
  return (
    <section class={`trial-answer trial-${result.answer}`}>
      <h2>{TRIAL_ANSWER[result.answer]}</h2>
      <p class="trial-sentence">{result.sentence}</p>
      {all !== null && (
        <p>
          With the batches that were left out: <b>{TRIAL_ANSWER[all.answer]}.</b> {all.sentence}
        </p>
      )}
      {result.cautions.length > 0 && (
        <ul>
          {result.cautions.map((caution) => (
            <li key={caution}>{caution}</li>
          ))}
        </ul>
      )}
      <p class="hint">
        {TRIAL_KIND[trial.kind]}, planned {clock.full(planned.at)} by {planned.by}.{' '}
        {closed === null
          ? 'Not closed: further batches may change the answer.'
          : `Closed ${clock.full(closed.at)} by ${closed.by} with: ${TRIAL_ANSWER[closed.answer]}.`}
      </p>
      <p class="downloads">
        <a href={`/api/trials/${trial.id}/report.pdf`}>Report (PDF, A4)</a>
        <a href={`/api/trials/${trial.id}/report.pdf?paper=letter`}>Report (PDF, Letter)</a>
        <a href={`/api/trials/${trial.id}/report.csv`}>Batches (CSV)</a>
      </p>
    </section>
  )
}

const Plan = ({ trial }: { readonly trial: TrialView }) => {
  const clock = useSiteClock()
  return (
    <section>
      <h2>Plan</h2>
      <dl class="facts">
        {planFacts(trial).map(([name, value]) => (
          <Fact key={name} name={name}>
            {value}
          </Fact>
        ))}
      </dl>
      {trial.changes.map((c) => (
        <p key={c.at}>
          Changed {clock.full(c.at)} by {c.by}, with {c.batches_then} batches there: {c.changed.join('; ')}.{' '}
          {c.why === null ? '' : `Why: ${c.why}`}
        </p>
      ))}
      <details>
        <summary>Run order</summary>
        <ol>
          {trial.run_order.map((r) => (
            <li key={r.run}>
              day {r.day}, {r.what}
            </li>
          ))}
        </ol>
      </details>
      <details>
        <summary>Means and spread of each measure</summary>
        {measuresShown(trial).map(({ name, unit, spread, bound }) => (
          <p key={name}>
            <b>{name}:</b> {spreadWords(spread, unit)}
            {bound !== null && `. Tolerance bound: ${boundWords(bound, unit)}`}
          </p>
        ))}
      </details>
    </section>
  )
}
