import { useState } from 'preact/hooks'
import { v7 } from 'uuid'
import type { TrialHead } from '../../../server/wire.ts'
import { useAsked } from '../../ask.ts'
import { useWho } from '../../who.ts'
import { WhenButtons } from '../form/when-buttons.tsx'
import { WhoField } from '../form/who-field.tsx'
import { useRunBatch } from '../trial/trial-opening.tsx'
import type { BenchView } from './bench-view.ts'

type Next = NonNullable<TrialHead['next']>

export interface RunHere {
  readonly trial: TrialHead
  readonly next: Next
}

/** Trials whose next batch may be made at this bench; none where they cannot be asked for: a trial holds nobody up. Null: being asked. */
export const useRunsHere = (bench: string): readonly RunHere[] | null => {
  const [asked] = useAsked<TrialHead[]>('/api/trials')
  if (asked.kind === 'asking') return null
  if (asked.kind === 'problem') return []
  return asked.value.flatMap((trial) => {
    const { next, plan } = trial
    if (next === null || (next.bench !== null && next.bench !== bench)) return []
    return plan.benches === undefined || plan.benches.includes(bench) ? [{ trial, next }] : []
  })
}

interface RunsProps {
  readonly runs: readonly RunHere[]
  readonly onChosen: (run: RunHere) => void
}

/** The next batches of open trials, a tap each. */
export const TrialRuns = ({ runs, onChosen }: RunsProps) => (
  <>
    {runs.map((run) => (
      <button key={run.trial.id} type="button" class="big" onClick={() => onChosen(run)}>
        For the trial {run.trial.title}
        <span class="act-word">
          batch {run.next.run} of its run order, day {run.next.day}: {run.next.what}
        </span>
      </button>
    ))}
  </>
)

interface OpenProps {
  readonly view: BenchView
  readonly run: RunHere
  readonly onOther: () => void
  readonly onClose: () => void
}

/** The run is chosen; the lot, what the plan leaves open, and the moment are left. */
export const OpenForTrial = ({ view, run: { trial, next }, onOther, onClose }: OpenProps) => {
  const [who] = useWho()
  const [isNameless] = useState(who.trim() === '')
  const { fields, typed } = useRunBatch(trial, next)
  const { acting, clock, now_ms } = view
  return (
    <>
      <div class="sheet-chosen">
        <p>
          <b>{trial.title}</b>
          <br />
          Batch {next.run} of its run order, day {next.day}: {next.what}
        </p>
        <button type="button" class="plain" onClick={onOther}>
          Not for the trial
        </button>
      </div>
      {isNameless && <WhoField needed />}
      {fields}
      {!isNameless && <WhoField needed />}
      {typed.kind === 'refused' && (
        <p class="hint" aria-live="polite">
          {typed.why}
        </p>
      )}
      <WhenButtons
        clock={clock}
        now_ms={now_ms}
        disabled={typed.kind === 'refused' || who.trim() === ''}
        onWhen={(when) => {
          if (typed.kind === 'refused') return
          const entry = { kind: 'batch-opened', data: typed.data } as const
          void acting.send({ entry, when, now_ms, expected_seq: 0, batch: v7() })
          onClose()
        }}
      />
    </>
  )
}
