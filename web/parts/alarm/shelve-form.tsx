import { useState } from 'preact/hooks'
import { v7 } from 'uuid'
import type { AlarmView, Problem, Shelve } from '../../../server/wire.ts'
import { NO_NAME } from '../../acting.ts'
import { post } from '../../ask.ts'
import { textTyped } from '../../typed/typed.ts'
import { useWho } from '../../who.ts'
import { Field } from '../form/field.tsx'
import { Openable } from '../form/openable.tsx'
import { WhoField } from '../form/who-field.tsx'
import { ProblemNote } from '../frame/problem-note.tsx'

const MINUTES = [5, 10, 30] as const

/** Puts an alarm aside for a while, always with a reason; it comes back by itself. */
export const ShelveForm = ({ alarm }: { readonly alarm: AlarmView }) => (
  <div class="shelve">
    <Openable title="Shelve it for a while">{() => <Shelving alarm={alarm} />}</Openable>
  </div>
)

const Shelving = ({ alarm }: { readonly alarm: AlarmView }) => {
  const [who] = useWho()
  const [why, setWhy] = useState('')
  const [problem, setProblem] = useState<Problem | null>(null)
  const reason = textTyped(why)
  const name = textTyped(who)
  const send = async (minutes: number): Promise<void> => {
    if (reason === null || name === null) return
    const body: Shelve = { id: v7(), who: name, why: reason, minutes }
    const answer = await post(`/api/alarms/${encodeURIComponent(alarm.key)}/shelving`, body)
    setProblem(answer.kind === 'problem' ? answer.problem : null)
  }
  return (
    <>
      <div class="two-columns">
        <WhoField needed={true} />
        <Field label="Why" value={why} onValue={setWhy} maxLength={500} required={true} />
      </div>
      <div class="action-buttons">
        {MINUTES.map((minutes) => (
          <button
            key={minutes}
            type="button"
            class="big act"
            disabled={reason === null || name === null}
            onClick={() => void send(minutes)}
          >
            {minutes} min
          </button>
        ))}
      </div>
      <p class="hint">
        It makes no sound and is not repeated until then. It stays in sight, and on record with your name.
      </p>
      {problem !== null && <ProblemNote problem={problem} />}
    </>
  )
}

/** Takes a shelved alarm back before its time. */
export const UnshelveButton = ({ alarm }: { readonly alarm: AlarmView }) => {
  const [who] = useWho()
  const [problem, setProblem] = useState<Problem | null>(null)
  const send = async (): Promise<void> => {
    const body = { id: v7(), who: textTyped(who) ?? NO_NAME }
    const answer = await post(`/api/alarms/${encodeURIComponent(alarm.key)}/unshelving`, body)
    setProblem(answer.kind === 'problem' ? answer.problem : null)
  }
  return (
    <>
      <button type="button" class="big act" onClick={() => void send()}>
        Take it off the shelf now
      </button>
      {problem !== null && <ProblemNote problem={problem} />}
    </>
  )
}
