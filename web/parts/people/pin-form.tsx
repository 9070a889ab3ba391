import { useState } from 'preact/hooks'
import type { PinWanted, Problem, SessionView } from '../../../server/wire.ts'
import { post } from '../../ask.ts'
import { useSession } from '../../session.ts'
import { ProblemNote } from '../frame/problem-note.tsx'
import { PinField } from '../meter/secret-field.tsx'

/** At a shared display: pick a name, six digits. Enters as soon as the sixth digit is there. */
export const PinForm = ({ onDone }: { readonly onDone?: () => void }) => {
  const [session, { took }] = useSession()
  const [person, setPerson] = useState('')
  const [pin, setPin] = useState('')
  const [problem, setProblem] = useState<Problem | null>(null)
  const people = session?.display?.people ?? []
  const send = async (digits: string): Promise<void> => {
    const wanted: PinWanted = { person, pin: digits }
    const answer = await post<SessionView>('/api/sign-in/pin', wanted)
    setPin('')
    if (answer.kind === 'problem') return setProblem(answer.problem)
    setProblem(null)
    took(answer.value)
    onDone?.()
  }
  if (people.length === 0) return <p class="hint">Nobody has a PIN yet: each sets one under their name.</p>
  return (
    <div class="pin-form">
      <fieldset class="pin-names">
        <legend>Your name</legend>
        {people.map(({ id, name }) => (
          <button
            key={id}
            type="button"
            class={id === person ? 'big act-next' : 'big'}
            aria-pressed={id === person}
            onClick={() => setPerson(id)}
          >
            {name}
          </button>
        ))}
      </fieldset>
      {person !== '' && (
        <PinField
          key={person}
          label="PIN"
          focused
          value={pin}
          onValue={(digits) => {
            setPin(digits)
            if (digits.length === 6) void send(digits)
          }}
        />
      )}
      {problem !== null && <ProblemNote problem={problem} />}
    </div>
  )
}
