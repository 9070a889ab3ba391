import { useState } from 'preact/hooks'
import type { Problem, SessionView, SignInWanted } from '../../../server/wire.ts'
import { post } from '../../ask.ts'
import { useSession } from '../../session.ts'
import { Field } from '../form/field.tsx'
import { ProblemNote } from '../frame/problem-note.tsx'
import { PasswordField } from '../meter/secret-field.tsx'

/** Name and password. `name`: of who was here before. Not a form element: it may stand inside one. */
export const SignInForm = ({ name: before }: { readonly name?: string }) => {
  const [, { took }] = useSession()
  const [name, setName] = useState(before ?? '')
  const [password, setPassword] = useState('')
  const [problem, setProblem] = useState<Problem | null>(null)
  const send = async (): Promise<void> => {
    if (name.trim() === '' || password === '') return
    const wanted: SignInWanted = { name: name.trim(), password }
    const answer = await post<SessionView>('/api/sign-in', wanted)
    setPassword('')
    if (answer.kind === 'problem') return setProblem(answer.problem)
    took(answer.value)
  }
  return (
    <div class="sign-in">
      <Field label="Name" value={name} onValue={setName} maxLength={60} />
      <PasswordField label="Password" value={password} onValue={setPassword} onEnter={() => void send()} />
      <button
        type="button"
        class="big act-next"
        disabled={name.trim() === '' || password === ''}
        onClick={() => void send()}
      >
        Sign in
      </button>
      {problem !== null && <ProblemNote problem={problem} />}
    </div>
  )
}
