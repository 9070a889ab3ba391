import { useState } from 'preact/hooks'
import { v7 } from 'uuid'
import type { TrialView } from '../../../server/wire.ts'
import { benchPath } from '../../route.ts'
import { go } from '../../router.tsx'
import { useApp } from '../../store.ts'
import { refused } from '../../typed/typed.ts'
import { EntryForm } from '../form/entry-form.tsx'
import { Choice } from '../form/field.tsx'
import { Openable } from '../form/openable.tsx'
import { useRunBatch } from './trial-opening.tsx'

type Next = NonNullable<TrialView['next']>

/** The next batch by the run order, opened from here: then its bench is shown. */
export const TrialNext = ({ trial }: { readonly trial: TrialView }) => {
  const { next, closed, run_order } = trial
  if (closed !== null) return null
  const made = run_order.filter((r) => r.batch !== null).length
  if (next === null)
    return (
      <section class="screen-only">
        <h2>Next batch</h2>
        <p>
          All {run_order.length} batches of the run order are there. Look at the answer, then close the trial.
        </p>
      </section>
    )
  return (
    <section class="panel screen-only">
      <h2>Next batch</h2>
      <p class="trial-next">
        <b>{next.what}</b>
        <span class="hint">
          {' '}
          batch {next.run} of the run order, day {next.day}; {made} of {run_order.length} made
        </span>
      </p>
      <Openable title="Open this batch">
        {() => <OpenNext key={next.run} trial={trial} next={next} />}
      </Openable>
    </section>
  )
}

const OpenNext = ({ trial, next }: { readonly trial: TrialView; readonly next: Next }) => {
  const site = useApp((s) => s.site)
  const [batch] = useState(() => v7())
  const [chosen, setBench] = useState(next.bench ?? '')
  const { fields, typed } = useRunBatch(trial, next)
  const allowed = (site?.benches ?? []).filter((b) => trial.plan.benches?.includes(b.id) ?? true)
  return (
    <EntryForm
      path={`/api/batches/${batch}/entries`}
      button="Open batch now"
      typed={chosen === '' ? refused('Choose the bench.') : typed}
      body={(data) => ({ bench: chosen, expected_seq: 0, entry: { kind: 'batch-opened', data } })}
      hint="Its bench is shown then; ozone goes on there."
      onEntered={() => go(benchPath(chosen))}
    >
      {next.bench === null && (
        <Choice
          label="Bench"
          value={chosen}
          onValue={setBench}
          options={allowed.map((b) => [b.id, b.name] as const)}
          required
        />
      )}
      {fields}
    </EntryForm>
  )
}
