import { useState } from 'preact/hooks'
import { v7 } from 'uuid'
import type { EntryView, Problem, SignatureWanted } from '../../../server/wire.ts'
import { entryHead } from '../../../server/wording/entries.ts'
import { post, useAsked } from '../../ask.ts'
import { useSession } from '../../session.ts'
import { useApp } from '../../store.ts'
import { Dialog } from '../form/dialog.tsx'
import { Choice } from '../form/field.tsx'
import { ProblemNote } from '../frame/problem-note.tsx'
import { useSiteClock } from '../frame/site.ts'
import { PasswordField, PinField } from '../meter/secret-field.tsx'

/** What was entered at shared displays and waits for a signature; of one bench, or of all. Stays in sight until signed. */
export const UnsignedList = ({ bench }: { readonly bench?: string }) => {
  const [session] = useSession()
  const newest = useApp((s) => s.newestSeq)
  const [asked, again] = useAsked<{ entries: EntryView[] }>(
    session?.set_up === true ? '/api/unsigned' : null,
    newest,
  )
  const [signing, setSigning] = useState<EntryView | null>(null)
  const clock = useSiteClock()
  if (asked.kind !== 'answer') return null
  const waiting = asked.value.entries.filter((e) => bench === undefined || e.bench === bench)
  if (waiting.length === 0) return null
  return (
    <section class="unsigned" aria-label="Not signed yet">
      {waiting.map((entry) => (
        <p key={entry.id}>
          <b>Not signed yet:</b> {entryHead(entry)}
          {bench === undefined && entry.bench !== null && `, bench ${entry.bench}`},{' '}
          {clock.seconds(entry.happened_at)} {entry.who.name.replace(/^not signed yet \((.*)\)$/, 'at $1')}{' '}
          <button type="button" onClick={() => setSigning(entry)}>
            Sign
          </button>
        </p>
      ))}
      {signing !== null && (
        <SignDialog
          entry={signing}
          onClose={(done) => {
            setSigning(null)
            if (done) again()
          }}
        />
      )}
    </section>
  )
}

interface SignProps {
  readonly entry: EntryView
  readonly onClose: (done: boolean) => void
}

const SignDialog = ({ entry, onClose }: SignProps) => {
  const [session] = useSession()
  const clock = useSiteClock()
  const people = session?.display?.people ?? []
  const me = session?.person ?? null
  const [id] = useState(() => v7())
  const [person, setPerson] = useState(people.some((p) => p.id === me?.id) ? (me?.id ?? '') : '')
  const [secret, setSecret] = useState('')
  const [problem, setProblem] = useState<Problem | null>(null)
  const atDisplay = session?.display !== null && session?.display !== undefined
  const send = async (): Promise<void> => {
    const wanted: SignatureWanted = { id, secret, ...(atDisplay ? { person } : {}) }
    const answer = await post(`/api/entries/${entry.id}/signature`, wanted)
    setSecret('')
    if (answer.kind === 'problem') setProblem(answer.problem)
    else onClose(true)
  }
  const missing = secret === '' || (atDisplay && person === '')
  return (
    <Dialog title={`Sign: ${entryHead(entry)}`} onClose={() => onClose(false)}>
      <p>
        {entryHead(entry)} at {clock.full(entry.happened_at)}. By signing you say that it was you.
      </p>
      {atDisplay ? (
        <>
          <Choice
            label="Who are you?"
            value={person}
            onValue={setPerson}
            options={people.map((p) => [p.id, p.name] as const)}
          />
          <PinField label="PIN" value={secret} onValue={setSecret} />
        </>
      ) : (
        <PasswordField label={`Password or PIN of ${me?.name ?? ''}`} value={secret} onValue={setSecret} />
      )}
      <button type="button" class="big act-next" disabled={missing} onClick={() => void send()}>
        Sign
      </button>
      {problem !== null && <ProblemNote problem={problem} />}
    </Dialog>
  )
}
