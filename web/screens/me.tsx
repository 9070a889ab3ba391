import { useState } from 'preact/hooks'
import type { Problem, SessionView } from '../../server/wire.ts'
import { ROLE } from '../../server/wording/people-words.ts'
import { post } from '../ask.ts'
import { Fact } from '../parts/form/fact.tsx'
import { ProblemNote } from '../parts/frame/problem-note.tsx'
import { useSiteClock } from '../parts/frame/site.ts'
import { PasswordField, PinField } from '../parts/meter/secret-field.tsx'
import { useSession } from '../session.ts'
import { LONG_ENOUGH, secretsTyped } from '../typed/secrets-typed.ts'

/** Who is signed in, and their own password and PIN. */
export const MeScreen = () => {
  const [session] = useSession()
  const clock = useSiteClock()
  const person = session?.person ?? null
  if (person === null)
    return (
      <div class="page narrow">
        <h1>You</h1>
        <p class="empty">Nobody is signed in here.</p>
      </div>
    )
  return (
    <div class="page narrow">
      <h1>{person.name}</h1>
      <dl class="facts">
        <Fact name="Role">{ROLE[person.role]}</Fact>
        <Fact name="Signed in">
          with {person.by === 'pin' ? 'a PIN' : 'a password'}, until {clock.full(person.ends_at)} at most
        </Fact>
        <Fact name="PIN">{person.has_pin ? 'set' : 'none yet: needed at shared displays'}</Fact>
      </dl>
      {person.by === 'password' && (
        <>
          <OwnPin />
          <OwnPassword />
        </>
      )}
    </div>
  )
}

type Said = Problem | 'done' | null

const useSend = (path: string) => {
  const [, { took }] = useSession()
  const [said, setSaid] = useState<Said>(null)
  const send = async (body: unknown): Promise<boolean> => {
    const answer = await post<SessionView>(path, body)
    setSaid(answer.kind === 'problem' ? answer.problem : 'done')
    if (answer.kind === 'answer') took(answer.value)
    return answer.kind === 'answer'
  }
  return { said, send }
}

const Told = ({ said, done }: { readonly said: Said; readonly done: string }) => (
  <>
    <div role="status">{said === 'done' && <p>{done}</p>}</div>
    {said !== null && said !== 'done' && <ProblemNote problem={said} />}
  </>
)

const OwnPin = () => {
  const [current, setCurrent] = useState('')
  const [pin, setPin] = useState('')
  const { said, send } = useSend('/api/session/pin')
  return (
    <form
      onSubmit={(event) => {
        event.preventDefault()
        void send({ current, pin }).then((done) => {
          if (done) setPin('')
          setCurrent('')
        })
      }}
    >
      <h2>PIN</h2>
      <PasswordField label="Your password" value={current} onValue={setCurrent} />
      <PinField label="New PIN" value={pin} onValue={setPin} hint="Six digits that are no row." />
      <button type="submit" class="big" disabled={current === '' || pin.length !== 6}>
        Set PIN
      </button>
      <Told said={said} done="The PIN is set." />
    </form>
  )
}

const OwnPassword = () => {
  const [current, setCurrent] = useState('')
  const [password, setPassword] = useState('')
  const [again, setAgain] = useState('')
  const { said, send } = useSend('/api/session/password')
  const missing = current === '' ? '' : secretsTyped({ password, again, pin: '' })
  return (
    <form
      onSubmit={(event) => {
        event.preventDefault()
        void send({ current, password }).then((done) => {
          if (!done) return
          setCurrent('')
          setPassword('')
          setAgain('')
        })
      }}
    >
      <h2>Password</h2>
      <PasswordField label="Present password" value={current} onValue={setCurrent} />
      <PasswordField label="New password" isNew value={password} onValue={setPassword} hint={LONG_ENOUGH} />
      <PasswordField label="The same again" isNew value={again} onValue={setAgain} />
      <p class="hint" aria-live="polite">
        {missing}
      </p>
      <button type="submit" class="big" disabled={missing !== null}>
        Set password
      </button>
      <Told said={said} done="The password is set; everywhere else you are signed out." />
    </form>
  )
}
