import { useEffect, useState } from 'preact/hooks'
import type { LinkFound, LinkUsed, Problem, SessionView } from '../../server/wire.ts'
import { post } from '../ask.ts'
import { Field } from '../parts/form/field.tsx'
import { ProblemNote } from '../parts/frame/problem-note.tsx'
import { PasswordField, PinField } from '../parts/meter/secret-field.tsx'
import { go } from '../router.tsx'
import { useSession } from '../session.ts'
import { LONG_ENOUGH, secretsTyped } from '../typed/secrets-typed.ts'

/** Where a one-time link leads: the first administrator, or somebody who sets a password. The token stands behind `#`. */
export const WelcomeScreen = () => {
  const [token] = useState(() => location.hash.slice(1))
  const [found, setFound] = useState<LinkFound | null>(null)
  const [problem, setProblem] = useState<Problem | null>(null)
  useEffect(() => {
    // out of the address bar and the history of this browser
    history.replaceState(null, '', '/welcome')
    void post<LinkFound>('/api/link', { token }).then((answer) =>
      answer.kind === 'answer' ? setFound(answer.value) : setProblem(answer.problem),
    )
  }, [token])
  return (
    <div class="page narrow">
      <h1>{found?.name == null ? 'Set up people' : `Welcome, ${found.name}`}</h1>
      {problem !== null && <ProblemNote problem={problem} />}
      {found !== null && <Secrets token={token} owner={found.name} />}
    </div>
  )
}

const Secrets = ({ token, owner }: { readonly token: string; readonly owner: string | null }) => {
  const [, { took }] = useSession()
  const [name, setName] = useState('')
  const [password, setPassword] = useState('')
  const [again, setAgain] = useState('')
  const [pin, setPin] = useState('')
  const [problem, setProblem] = useState<Problem | null>(null)
  const missing =
    owner === null && name.trim() === '' ? 'Your name is missing.' : secretsTyped({ password, again, pin })
  const send = async (): Promise<void> => {
    const wanted: LinkUsed = {
      token,
      password,
      ...(owner === null ? { name: name.trim() } : {}),
      ...(pin === '' ? {} : { pin }),
    }
    const answer = await post<SessionView>('/api/link/use', wanted)
    if (answer.kind === 'problem') return setProblem(answer.problem)
    took(answer.value)
    go(owner === null ? '/people' : '/')
  }
  return (
    <form
      onSubmit={(event) => {
        event.preventDefault()
        void send()
      }}
    >
      {owner === null && (
        <>
          <p>
            You become the first administrator. From then on everybody signs in, and every entry says who made
            it.
          </p>
          <Field label="Your name" required value={name} onValue={setName} maxLength={60} />
        </>
      )}
      <PasswordField label="New password" isNew value={password} onValue={setPassword} hint={LONG_ENOUGH} />
      <PasswordField label="The same again" isNew value={again} onValue={setAgain} />
      <PinField
        label="PIN for shared displays"
        value={pin}
        onValue={setPin}
        hint="Six digits; may stay empty until you need one."
      />
      <p class="hint" aria-live="polite">
        {missing ?? ''}
      </p>
      <button type="submit" class="big act-next" disabled={missing !== null}>
        {owner === null ? 'Become administrator' : 'Set password and sign in'}
      </button>
      {problem !== null && <ProblemNote problem={problem} />}
    </form>
  )
}
