import type { TrialView } from '../../../server/wire.ts'
import { runWords } from '../../../server/wording/trial-report-words.ts'
import { planFacts } from '../../../server/wording/trial-words.ts'
import { Fact } from '../form/fact.tsx'
import { Openable } from '../form/openable.tsx'
import { useSiteClock } from '../frame/site.ts'
import { ChangeTrialForm } from './trial-plan-form.tsx'

interface Props {
  readonly trial: TrialView
  readonly onEntered: () => void
}

/** The plan as it stands, every change of it, the run order with what was made, and the form that changes it. */
export const TrialPlan = ({ trial, onEntered }: Props) => {
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
          Changed {clock.full(c.at)} by {c.by}, with {c.batches_then}{' '}
          {c.batches_then === 1 ? 'batch' : 'batches'} there: {c.changed.join('; ')}.{' '}
          {c.why === null ? '' : `Why: ${c.why}`}
        </p>
      ))}
      {trial.closed === null && (
        <Openable title="Change the plan">
          {() => <ChangeTrialForm key={trial.newest_seq} trial={trial} onEntered={onEntered} />}
        </Openable>
      )}
      <details class="on-paper">
        <summary>Run order</summary>
        <ul class="run-order">
          {trial.run_order.map((r) => (
            <li key={r.run}>{runWords(r)}</li>
          ))}
        </ul>
      </details>
    </section>
  )
}
