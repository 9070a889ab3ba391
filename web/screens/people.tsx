import { useState } from 'preact/hooks'
import { v7 } from 'uuid'
import type { Invited, PersonView, Problem, RoleName } from '../../server/wire.ts'
import { ROLE } from '../../server/wording/people-words.ts'
import { post, useAsked } from '../ask.ts'
import { Choice, Field } from '../parts/form/field.tsx'
import { ProblemNote } from '../parts/frame/problem-note.tsx'
import { useSiteClock } from '../parts/frame/site.ts'
import { DisplayList } from '../parts/people/display-list.tsx'
import { PeopleHistory } from '../parts/people/people-history.tsx'
import { PersonRow } from '../parts/people/person-row.tsx'
import { useSession } from '../session.ts'

/** People, shared displays and what happened with them, for administrators. */
export const PeopleScreen = () => {
  const [session] = useSession()
  const [asked, again] = useAsked<readonly PersonView[]>('/api/people')
  const [invited, setInvited] = useState<Invited | null>(null)
  if (session !== null && !session.set_up) return <NotSetUp />
  return (
    <div class="page">
      <h1>People</h1>
      {asked.kind === 'problem' && <ProblemNote problem={asked.problem} />}
      {invited !== null && <Link invited={invited} />}
      {asked.kind === 'answer' && (
        <>
          <ul class="people">
            {asked.value.map((person) => (
              <PersonRow key={person.id} person={person} onChanged={again} onInvited={setInvited} />
            ))}
          </ul>
          <AddPerson
            onAdded={(added) => {
              setInvited(added)
              again()
            }}
          />
          <DisplayList />
          <PeopleHistory version={asked.value} />
        </>
      )}
    </div>
  )
}

const NotSetUp = () => (
  <div class="page narrow">
    <h1>People</h1>
    <p>
      Nobody can sign in yet: whoever is at this machine may enter everything, under any name. The program
      prints a link for the first administrator each time it starts; it is good for an hour.
    </p>
  </div>
)

/** Shown this once: nobody can read it again, a new one can always be made. */
const Link = ({ invited }: { readonly invited: Invited }) => {
  const clock = useSiteClock()
  return (
    <section class="panel invited" aria-live="polite">
      <h2>Link for {invited.person.name}</h2>
      <p>
        <code>{location.origin + invited.link}</code>
      </p>
      <p class="hint">
        Hand it to {invited.person.name} and nobody else; it is good once, until {clock.full(invited.until)}.
        It is shown only now.
      </p>
    </section>
  )
}

const ROLES = Object.entries(ROLE)

const AddPerson = ({ onAdded }: { readonly onAdded: (added: Invited) => void }) => {
  const [id, setId] = useState(() => v7())
  const [name, setName] = useState('')
  const [role, setRole] = useState('')
  const [problem, setProblem] = useState<Problem | null>(null)
  const add = async (): Promise<void> => {
    const answer = await post<Invited>('/api/people', { id, name: name.trim(), role: role as RoleName })
    setId(v7())
    if (answer.kind === 'problem') return setProblem(answer.problem)
    setProblem(null)
    setName('')
    setRole('')
    onAdded(answer.value)
  }
  return (
    <form
      class="panel"
      onSubmit={(event) => {
        event.preventDefault()
        void add()
      }}
    >
      <h2>Add a person</h2>
      <div class="two-columns">
        <Field
          label="Name"
          required
          value={name}
          onValue={setName}
          maxLength={60}
          hint="As it will stand in the record, for ever."
        />
        <Choice label="Role" required value={role} onValue={setRole} options={ROLES} />
      </div>
      <button type="submit" class="big" disabled={name.trim() === '' || role === ''}>
        Add
      </button>
      {problem !== null && <ProblemNote problem={problem} />}
    </form>
  )
}
