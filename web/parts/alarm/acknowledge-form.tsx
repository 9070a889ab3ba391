import { useState } from 'preact/hooks'
import { v7 } from 'uuid'
import type { Acknowledge, AlarmView, Problem } from '../../../server/wire.ts'
import { NO_NAME } from '../../acting.ts'
import { post } from '../../ask.ts'
import { textTyped } from '../../typed/typed.ts'
import { useActor, useWho } from '../../who.ts'
import { Field } from '../form/field.tsx'
import { WhoField } from '../form/who-field.tsx'
import { ProblemNote } from '../frame/problem-note.tsx'

/** Acknowledged at one press; name and reason may be typed before it, and the record says when they were not. */
export const AcknowledgeForm = ({ alarm }: { readonly alarm: AlarmView }) => {
  const [who] = useWho()
  const actor = useActor()
  const [why, setWhy] = useState('')
  const [problem, setProblem] = useState<Problem | null>(null)
  const [id] = useState(() => v7())
  const send = async (): Promise<void> => {
    const reason = textTyped(why)
    const body: Acknowledge = {
      id,
      ...(actor.kind === 'display' ? {} : { who: textTyped(who) ?? NO_NAME }),
      ...(reason === null ? {} : { why: reason }),
    }
    const answer = await post(`/api/alarms/${encodeURIComponent(alarm.key)}/acknowledgement`, body)
    setProblem(answer.kind === 'problem' ? answer.problem : null)
  }
  return (
    <form
      class="acknowledge"
      onSubmit={(event) => {
        event.preventDefault()
        void send()
      }}
    >
      <div class="two-columns">
        <WhoField needed={false} />
        <Field
          label="Why"
          value={why}
          onValue={setWhy}
          maxLength={500}
          hint="What was found, what is being done."
        />
      </div>
      <button type="submit" class="big act-next">
        Acknowledge
      </button>
      {problem !== null && <ProblemNote problem={problem} />}
    </form>
  )
}
