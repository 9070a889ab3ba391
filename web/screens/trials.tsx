import type { TrialHead } from '../../server/wire.ts'
import { TRIAL_ANSWER, TRIAL_KIND } from '../../server/wording/trial-words.ts'
import { useAsked } from '../ask.ts'
import { Openable } from '../parts/form/openable.tsx'
import { ProblemNote } from '../parts/frame/problem-note.tsx'
import { useSiteClock } from '../parts/frame/site.ts'
import { NewTrialForm } from '../parts/trial/trial-plan-form.tsx'
import { trialPath } from '../route.ts'
import { Link } from '../router.tsx'
import { useApp } from '../store.ts'

/** Trials of this clinic: how long its kit needs, which fluid holds more. */
export const TrialsScreen = () => {
  const newest = useApp((s) => s.outside)
  const [asked, again] = useAsked<TrialHead[]>('/api/trials', newest)
  const trials = asked.kind === 'answer' ? asked.value : []
  return (
    <div class="page">
      <h1>Trials</h1>
      <p class="hint">
        How long this kit needs for one setting, and which fluid holds more and lasts longer, from batches of
        your own by a plan that is fixed before the first of them.
      </p>
      {asked.kind === 'problem' && <ProblemNote problem={asked.problem} />}
      {asked.kind === 'asking' && <p class="empty">Asking …</p>}
      {asked.kind === 'answer' && trials.length === 0 && <p class="empty">There is none yet.</p>}
      {trials.length > 0 && <TrialTable trials={trials} />}
      <section>
        <h2>A new trial</h2>
        <Openable title="How long does this kit need? Plan a prep-time trial">
          {() => <NewTrialForm kind="prep-time" onEntered={again} />}
        </Openable>
        <Openable title="Which fluid holds more and lasts longer? Plan a comparison">
          {() => <NewTrialForm kind="fluid-comparison" onEntered={again} />}
        </Openable>
      </section>
    </div>
  )
}

const TrialTable = ({ trials }: { readonly trials: readonly TrialHead[] }) => {
  const clock = useSiteClock()
  return (
    <table class="list">
      <thead>
        <tr>
          <th scope="col">Trial</th>
          <th scope="col">Kind</th>
          <th scope="col">Planned</th>
          <th scope="col">Batches</th>
          <th scope="col">Closed with</th>
        </tr>
      </thead>
      <tbody>
        {trials.map((t) => (
          <tr key={t.id}>
            <th scope="row">
              <Link to={trialPath(t.id)}>{t.title}</Link>
            </th>
            <td data-name="Kind">{TRIAL_KIND[t.kind]}</td>
            <td data-name="Planned">
              {clock.day(t.planned.at)}, {t.planned.by}
            </td>
            <td data-name="Batches">
              {t.batches} of {t.wanted} planned
              {t.next !== null && `; next: ${t.next.what}`}
            </td>
            <td data-name="Closed with">
              {t.closed === null ? 'not closed' : TRIAL_ANSWER[t.closed.answer]}
            </td>
          </tr>
        ))}
      </tbody>
    </table>
  )
}
