import { useState } from 'preact/hooks'
import { v7 } from 'uuid'
import type { DisplayView, Problem } from '../../../server/wire.ts'
import { post, useAsked } from '../../ask.ts'
import { useSession } from '../../session.ts'
import { Field } from '../form/field.tsx'
import { ProblemNote } from '../frame/problem-note.tsx'
import { useSiteClock } from '../frame/site.ts'

/** Shared displays: paired in the very browser that becomes one. */
export const DisplayList = () => {
  const clock = useSiteClock()
  const [asked, again] = useAsked<readonly DisplayView[]>('/api/displays')
  const [problem, setProblem] = useState<Problem | null>(null)
  const revoke = async (id: string): Promise<void> => {
    const answer = await post(`/api/displays/${id}/revocation`, {})
    setProblem(answer.kind === 'problem' ? answer.problem : null)
    again()
  }
  return (
    <section class="panel">
      <h2>Shared displays</h2>
      {asked.kind === 'problem' && <ProblemNote problem={asked.problem} />}
      {asked.kind === 'answer' && (
        <ul class="people">
          {asked.value.map((display) => (
            <li key={display.id} class={display.revoked_at === null ? 'person' : 'person person-away'}>
              <span class="person-name">
                <b>{display.name}</b>{' '}
                <span class="hint">
                  {display.revoked_at === null
                    ? `paired ${clock.full(display.paired_at)} by ${display.paired_by}`
                    : `revoked ${clock.full(display.revoked_at)}`}
                </span>
              </span>
              {display.revoked_at === null && (
                <button
                  type="button"
                  aria-label={`Revoke ${display.name}`}
                  onClick={() => void revoke(display.id)}
                >
                  Revoke
                </button>
              )}
            </li>
          ))}
        </ul>
      )}
      {problem !== null && <ProblemNote problem={problem} />}
      <PairThis />
    </section>
  )
}

const PairThis = () => {
  const [, { refresh }] = useSession()
  const [name, setName] = useState('')
  const [problem, setProblem] = useState<Problem | null>(null)
  const pair = async (): Promise<void> => {
    const answer = await post('/api/displays', { id: v7(), name: name.trim() })
    if (answer.kind === 'problem') return setProblem(answer.problem)
    await refresh()
  }
  return (
    <form
      onSubmit={(event) => {
        event.preventDefault()
        void pair()
      }}
    >
      <p class="hint">
        Pairing makes <b>this browser</b> a shared display: it shows everything from now on, without anybody
        signed in, until it is revoked here. You are signed out of it. Acting at it needs a name and a PIN;
        ozone off, flow off, discard and acknowledge can be entered at once and are signed afterwards.
      </p>
      <Field label="Name of this display" value={name} onValue={setName} maxLength={40} />
      <button type="submit" class="big" disabled={name.trim() === ''}>
        Pair this browser
      </button>
      {problem !== null && <ProblemNote problem={problem} />}
    </form>
  )
}
