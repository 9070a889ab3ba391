import type { ComponentChildren } from 'preact'
import { useState } from 'preact/hooks'
import { v7 } from 'uuid'
import type { Problem } from '../../../server/wire.ts'
import { post } from '../../ask.ts'
import { useNow } from '../../store.ts'
import { momentTyped } from '../../typed/moment-typed.ts'
import type { Typed } from '../../typed/typed.ts'
import { useWho } from '../../who.ts'
import { ProblemNote } from '../frame/problem-note.tsx'
import { useSiteClock } from '../frame/site.ts'
import { useServerNow } from '../frame/site-time.tsx'
import { MomentField } from './moment-field.tsx'
import { WhoField } from './who-field.tsx'

interface EntryFormProps {
  readonly path: string
  readonly button: string
  readonly typed: Typed<unknown>
  /** What is sent beside id and name; left out: the typed data as `data`. */
  readonly body?: (data: unknown) => Readonly<Record<string, unknown>>
  /** What the entry will do, once nothing is missing. */
  readonly hint: string
  /** It may have been done earlier than now. */
  readonly datable?: boolean
  readonly onEntered: () => void
  readonly children: ComponentChildren
}

/** An entry about an instrument: who, when it was done, and the one id that makes trying again harmless. */
export const EntryForm = (props: EntryFormProps) => {
  const { path, button, typed, hint, datable, onEntered, children } = props
  const body = props.body ?? ((data: unknown) => ({ data }))
  const [who] = useWho()
  const [id, setId] = useState(() => v7())
  const [at, setAt] = useState('')
  const [said, setSaid] = useState<Problem | 'entered' | null>(null)
  const { zone } = useSiteClock()
  const when = momentTyped(zone, at, useServerNow(useNow()))
  const missing = typed.kind === 'refused' ? typed.why : when.kind === 'refused' ? when.why : null
  const send = async (): Promise<void> => {
    if (typed.kind === 'refused' || when.kind === 'refused') return
    const happened_at = when.data === undefined ? {} : { happened_at: when.data }
    const answer = await post(path, { id, who: who.trim(), ...happened_at, ...body(typed.data) })
    if (answer.kind === 'problem') return setSaid(answer.problem)
    setSaid('entered')
    setAt('')
    setId(v7())
    onEntered()
  }
  return (
    <form
      onSubmit={(event) => {
        event.preventDefault()
        void send()
      }}
      // the Enter key in one of many fields must not enter the whole
      onKeyDown={(event) => {
        if (event.key === 'Enter' && event.target instanceof HTMLInputElement) event.preventDefault()
      }}
    >
      {children}
      {datable === true && (
        <MomentField
          label="Done at, if earlier than now"
          zone={zone}
          value={at}
          onValue={setAt}
          hint="Dated back it counts from then on. What was shown before stays on record, and the entry says that it was entered later."
        />
      )}
      <WhoField needed />
      <p class="hint" aria-live="polite">
        {missing ?? hint}
      </p>
      <button type="submit" class="big" disabled={missing !== null || who.trim() === ''}>
        {button}
      </button>
      <div role="status">{said === 'entered' && <p>Entered.</p>}</div>
      {said !== null && said !== 'entered' && <ProblemNote problem={said} />}
    </form>
  )
}
