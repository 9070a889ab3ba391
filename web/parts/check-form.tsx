import { useState } from 'preact/hooks'
import { v7 } from 'uuid'
import type { CheckInstrument, Problem } from '../../server/wire.ts'
import { post } from '../ask.ts'
import { type CheckText, checkTyped, EMPTY_CHECK } from '../check-typed.ts'
import { useWho } from '../remembered.ts'
import { CHECKED } from '../words.ts'
import { DayField } from './day-field.tsx'
import { Choice, Field } from './field.tsx'
import { ProblemNote } from './problem-note.tsx'
import { WhoField } from './who-field.tsx'

/** Any instrument held against a reference: it changes no reading, it says whether the readings can be believed. */
export const CheckForm = ({ onEntered }: { readonly onEntered: () => void }) => {
  const [text, setText] = useState(EMPTY_CHECK)
  const [who] = useWho()
  const [id, setId] = useState(() => v7())
  const [said, setSaid] = useState<Problem | 'entered' | null>(null)
  const typed = checkTyped(text)
  const send = async (): Promise<void> => {
    if (typed.kind === 'refused') return
    const body: CheckInstrument = { id, who: who.trim(), data: typed.data }
    const answer = await post('/api/instrument-checks', body)
    if (answer.kind === 'problem') return setSaid(answer.problem)
    setSaid('entered')
    setText(EMPTY_CHECK)
    setId(v7())
    onEntered()
  }
  return (
    <form
      onSubmit={(event) => {
        event.preventDefault()
        void send()
      }}
    >
      <CheckInputs text={text} setText={setText} />
      <WhoField needed />
      <p class="hint" aria-live="polite">
        {typed.kind === 'refused'
          ? typed.why
          : 'It passes only if difference and uncertainty together stay in the limit.'}
      </p>
      <button type="submit" class="big" disabled={typed.kind === 'refused' || who.trim() === ''}>
        Enter check
      </button>
      <div role="status">{said === 'entered' && <p>Entered.</p>}</div>
      {said !== null && said !== 'entered' && <ProblemNote problem={said} />}
    </form>
  )
}

interface InputsProps {
  readonly text: CheckText
  readonly setText: (text: CheckText) => void
}

const CheckInputs = ({ text, setText }: InputsProps) => {
  const set = (key: keyof CheckText) => (value: string) => setText({ ...text, [key]: value })
  const number = (label: string, key: keyof CheckText, required = false) => (
    <Field label={label} kind="number" required={required} value={text[key]} onValue={set(key)} />
  )
  return (
    <div class="two-columns">
      <div>
        <Choice
          label="What was checked"
          required
          value={text.kind}
          onValue={set('kind')}
          options={Object.entries(CHECKED)}
        />
        <Field
          label="Which one"
          required
          value={text.instrument}
          onValue={set('instrument')}
          maxLength={60}
          hint="The name of an instrument above, or what the clinic calls it."
        />
        <Field
          label="Held against"
          required
          value={text.reference}
          onValue={set('reference')}
          maxLength={120}
          hint="Ice bath, standard, balance, with its certificate."
        />
        <Field label="Unit" required value={text.unit} onValue={set('unit')} maxLength={20} />
        <DayField label="Next check due on" value={text.due} onValue={set('due')} />
      </div>
      <div>
        {number('Value of the reference', 'expected', true)}
        {number('Uncertainty of the reference (1 s)', 'u_expected')}
        {number('Value found', 'found', true)}
        {number('Uncertainty of the value found (1 s)', 'u_found')}
        {number('Greatest difference that passes', 'limit', true)}
      </div>
    </div>
  )
}
