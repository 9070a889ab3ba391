import { useState } from 'preact/hooks'
import type { Invited, PersonView, Problem, RoleName } from '../../../server/wire.ts'
import { post } from '../../ask.ts'
import { ProblemNote } from '../frame/problem-note.tsx'

interface PersonProps {
  readonly person: PersonView
  readonly onChanged: () => void
  readonly onInvited: (invited: Invited) => void
}

const ROLES: readonly RoleName[] = ['viewer', 'operator', 'reviewer', 'administrator']

export const PersonRow = ({ person, onChanged, onInvited }: PersonProps) => {
  const [problem, setProblem] = useState<Problem | null>(null)
  const send = async <T,>(what: string, body: unknown): Promise<T | null> => {
    const answer = await post<T>(`/api/people/${person.id}/${what}`, body)
    setProblem(answer.kind === 'problem' ? answer.problem : null)
    onChanged()
    return answer.kind === 'answer' ? answer.value : null
  }
  return (
    <li class={person.active ? 'person' : 'person person-away'}>
      <span class="person-name">
        <b>{person.name}</b> <span class="hint">{stateOf(person)}</span>
      </span>
      <label>
        <span class="unseen">Role of {person.name}</span>
        <select
          value={person.role}
          disabled={!person.active}
          onChange={(event) => void send('role', { role: event.currentTarget.value })}
        >
          {ROLES.map((role) => (
            <option key={role}>{role}</option>
          ))}
        </select>
      </label>
      <button
        type="button"
        disabled={!person.active}
        aria-label={`New link for ${person.name}`}
        onClick={() => void send<Invited>('link', {}).then((invited) => invited && onInvited(invited))}
      >
        New link
      </button>
      <button
        type="button"
        aria-label={`${person.active ? 'Deactivate' : 'Take back'} ${person.name}`}
        onClick={() => void send('activity', { active: !person.active })}
      >
        {person.active ? 'Deactivate' : 'Take back'}
      </button>
      {problem !== null && <ProblemNote problem={problem} />}
    </li>
  )
}

const stateOf = ({ active, has_password, has_pin }: PersonView): string => {
  if (!active) return 'deactivated'
  if (!has_password) return 'has not opened the link yet'
  return has_pin ? 'password and PIN' : 'password, no PIN'
}
