import type { TrialView, TrialWorking } from '../../server/wire.ts'
import { questionWords, TRIAL_ANSWER, TRIAL_KIND } from '../../server/wording/trial-words.ts'
import { useOpenedOnPaper } from '../parts/form/use-opened-on-paper.ts'
import { ProblemNote } from '../parts/frame/problem-note.tsx'
import { useSiteClock } from '../parts/frame/site.ts'
import { TrialBatches } from '../parts/trial/trial-batches.tsx'
import { TrialCurvePlots } from '../parts/trial/trial-curves.tsx'
import { TrialFound } from '../parts/trial/trial-found.tsx'
import { TrialNext } from '../parts/trial/trial-next.tsx'
import { TrialPlan } from '../parts/trial/trial-plan.tsx'
import { TrialPlots } from '../parts/trial/trial-plots.tsx'
import { TrialReportParts } from '../parts/trial/trial-report-parts.tsx'
import { TrialSheet } from '../parts/trial/trial-sheet.tsx'
import { TrialVolumes } from '../parts/trial/trial-volumes.tsx'
import { useTrial } from '../use-trial.ts'

/** One trial: the answer in one sentence, then all that a reviewer needs to doubt it. It prints as its report. */
export const TrialScreen = ({ trial: id }: { readonly trial: string }) => {
  const [asked, again] = useTrial(id)
  useOpenedOnPaper()
  if (asked.kind !== 'answer')
    return (
      <div class="page">
        <h1>Trial</h1>
        {asked.kind === 'problem' ? <ProblemNote problem={asked.problem} /> : <p class="empty">Asking …</p>}
      </div>
    )
  if ('working' in asked.value) return <Working {...asked.value} />
  const trial = asked.value
  return (
    <div class="page record trial">
      <h1>{trial.title}</h1>
      <p class="trial-question">{questionWords(trial)}</p>
      <Answer trial={trial} />
      <TrialNext trial={trial} />
      <TrialSheet trial={trial} />
      <TrialFound trial={trial} />
      <TrialBatches trial={trial} onEntered={again} />
      <TrialPlots trial={trial} />
      <TrialVolumes trial={trial} />
      <TrialCurvePlots trial={trial} />
      <TrialPlan trial={trial} onEntered={again} />
      <TrialReportParts trial={trial} />
    </div>
  )
}

const Working = ({ working: { done, of } }: TrialWorking) => (
  <div class="page">
    <h1>Trial</h1>
    <p role="status">
      Worked out {done} of {of} batches. The results are kept; next time it opens at once.
    </p>
    <progress value={done} max={of} aria-label="Batches worked out" />
  </div>
)

const Answer = ({ trial }: { readonly trial: TrialView }) => {
  const clock = useSiteClock()
  const { result, with_excluded: all, closed, planned } = trial
  return (
    <section class={`trial-answer trial-${result.answer}`}>
      <h2>{TRIAL_ANSWER[result.answer]}</h2>
      <p class="trial-sentence">{result.sentence}</p>
      {trial.to_do.length > 0 && (
        <>
          <h3>What to do</h3>
          <ul>
            {trial.to_do.map((what) => (
              <li key={what}>{what}</li>
            ))}
          </ul>
        </>
      )}
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
      {closed !== null && closed.sentence !== result.sentence && (
        <p class="warning">
          Entries made since would give another answer than it was closed with: {closed.sentence}
        </p>
      )}
      <p class="downloads screen-only">
        <a href={`/api/trials/${trial.id}/report.pdf`}>Report (PDF, A4)</a>
        <a href={`/api/trials/${trial.id}/report.pdf?paper=letter`}>Report (PDF, Letter)</a>
        <a href={`/api/trials/${trial.id}/report.csv`}>Batches (CSV)</a>
        <a href={`/api/trials/${trial.id}/curves.csv`}>Curves and residuals (CSV)</a>
      </p>
    </section>
  )
}
