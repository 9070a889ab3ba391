import { useState } from 'preact/hooks'
import type { BatchSummary, TrialBatch, TrialView } from '../../../server/wire.ts'
import { decimal } from '../../../server/wording/format.ts'
import { standingWords } from '../../../server/wording/trial-words.ts'
import { useAsked } from '../../ask.ts'
import { recordPath } from '../../route.ts'
import { Link } from '../../router.tsx'
import { matchesPlan } from '../../trial-matches.ts'
import type { Typed } from '../../typed/typed.ts'
import { EntryForm } from '../form/entry-form.tsx'
import { Choice, Field } from '../form/field.tsx'

interface Props {
  readonly trial: TrialView
  readonly onEntered: () => void
}

/** Every batch of a trial with whether it counts and why not; while it is open also taking in, leaving out and closing. */
export const TrialBatches = ({ trial, onEntered }: Props) => (
  <section>
    <h2>Batches</h2>
    {trial.members.length === 0 ? <p>There is none yet.</p> : <BatchRows trial={trial} />}
    {trial.closed === null && (
      <>
        <details>
          <summary>Take in a batch of the past</summary>
          <TakeIn trial={trial} onEntered={onEntered} />
        </details>
        <details>
          <summary>Leave a batch out</summary>
          <LeaveOut trial={trial} onEntered={onEntered} />
        </details>
        <details>
          <summary>Close the trial</summary>
          <EntryForm
            path={`/api/trials/${trial.id}/closing`}
            button="Close with this answer"
            typed={{ kind: 'data', data: {} }}
            body={() => ({ after_seq: trial.newest_seq })}
            hint="The answer above is kept in the record. Nothing is changed in the trial after that."
            onEntered={onEntered}
          >
            {null}
          </EntryForm>
        </details>
      </>
    )}
  </section>
)

const BatchRows = ({ trial }: { readonly trial: TrialView }) => {
  const columns = trial.kind === 'prep-time' ? PREP : COMPARISON
  return (
    <table class="list">
      <thead>
        <tr>
          <th scope="col">Batch</th>
          <th scope="col">Day</th>
          {columns.map(([name]) => (
            <th key={name} scope="col">
              {name}
            </th>
          ))}
          <th scope="col">While bubbling, °C</th>
          <th scope="col">Standing</th>
        </tr>
      </thead>
      <tbody>
        {trial.members.map((b) => (
          <tr key={b.id}>
            <th scope="row">
              <Link to={recordPath(b.id)}>{b.number}</Link>
              {b.group !== null && ` ${b.group}`}
            </th>
            <td data-name="Day">{b.day}</td>
            {columns.map(([name, key]) => (
              <td key={name} data-name={name}>
                {pointText(b[key])}
              </td>
            ))}
            <td data-name="While bubbling, °C">{decimal(b.temperature_c, 1)}</td>
            <td data-name="Standing">{standingWords(b)}</td>
          </tr>
        ))}
      </tbody>
    </table>
  )
}

const PREP = [
  ['Time needed, min', 'minutes'],
  ['At ozone-off, µg/mL', 'potency_off_mg_l'],
  ['After the purge, µg/mL', 'potency_after_mg_l'],
] as const
const COMPARISON = [
  ['Levels off at, µg/mL', 'plateau_normal_mg_l'],
  ['Half-life at 20 °C, min', 'half_life_20c_min'],
] as const

const pointText = (point: TrialBatch['minutes']): string =>
  point === null ? '–' : `${decimal(point.value, 1)} (${decimal(point.low, 1)} to ${decimal(point.high, 1)})`

const LONGEST_LIST = 100

const TakeIn = ({ trial, onEntered }: Props) => {
  const [asked] = useAsked<BatchSummary[]>(`/api/batches?limit=${LONGEST_LIST}`)
  const there = new Set(trial.members.filter((b) => b.excluded === null).map((b) => b.id))
  const finished =
    asked.kind === 'answer'
      ? asked.value.map((b) => b.head).filter((h) => h.discarded_at !== null && !there.has(h.id))
      : []
  const matching = finished.filter((head) => matchesPlan(head, trial.plan))
  const options = matching.map(
    (head) => [head.id, `${head.number} ${head.fluid}${head.lot === null ? '' : `, ${head.lot}`}`] as const,
  )
  const others = finished.length - matching.length
  return (
    <BatchAndReason
      path={`/api/trials/${trial.id}/batches`}
      button="Take it in"
      hint={`The report says that it was taken in afterwards, and why.${others > 0 ? ` ${others} finished ${others === 1 ? 'batch was' : 'batches were'} set up in another way than planned and cannot be chosen.` : ''}`}
      options={options}
      onEntered={onEntered}
    />
  )
}

const LeaveOut = ({ trial, onEntered }: Props) => (
  <BatchAndReason
    path={`/api/trials/${trial.id}/exclusions`}
    button="Leave it out"
    hint="It stays visible with the reason, and the answer is given with and without it."
    options={trial.members.flatMap((b) => (b.excluded === null ? [[b.id, b.number] as const] : []))}
    onEntered={onEntered}
  />
)

interface BatchAndReasonProps {
  readonly path: string
  readonly button: string
  readonly hint: string
  readonly options: readonly (readonly [id: string, text: string])[]
  readonly onEntered: () => void
}

const BatchAndReason = ({ path, button, hint, options, onEntered }: BatchAndReasonProps) => {
  const [batch, setBatch] = useState('')
  const [why, setWhy] = useState('')
  const typed: Typed<unknown> =
    batch === ''
      ? { kind: 'refused', why: 'Choose a batch.' }
      : why.trim() === ''
        ? { kind: 'refused', why: 'Give the reason.' }
        : { kind: 'data', data: { batch, why: why.trim() } }
  const entered = () => {
    setBatch('')
    setWhy('')
    onEntered()
  }
  return (
    <EntryForm
      path={path}
      button={button}
      typed={typed}
      body={(data) => data as Record<string, unknown>}
      hint={hint}
      onEntered={entered}
    >
      <Choice label="Batch" value={batch} onValue={setBatch} options={options} none="choose" />
      <Field label="Reason" value={why} onValue={setWhy} />
    </EntryForm>
  )
}
