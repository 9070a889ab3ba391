import { useState } from 'preact/hooks'
import { CHECKED } from '../../../server/wording/words.ts'
import { useApp } from '../../store.ts'
import { type CheckText, checkTyped, EMPTY_CHECK, withIcePoint, withKind } from '../../typed/check-typed.ts'
import { DayField } from '../form/day-field.tsx'
import { EntryForm } from '../form/entry-form.tsx'
import { Choice } from '../form/field.tsx'
import { fieldsOf } from '../form/fields-of.tsx'

interface CheckFormProps {
  /** Names of wired instruments, to choose from. */
  readonly instruments: readonly string[]
  readonly onEntered: () => void
}

/** Any instrument held against a reference: it changes no reading, it says whether the readings can be believed. */
export const CheckForm = ({ instruments, onEntered }: CheckFormProps) => {
  const [text, setText] = useState(EMPTY_CHECK)
  return (
    <EntryForm
      path="/api/instrument-checks"
      button="Enter check"
      typed={checkTyped(text)}
      hint="It passes only if difference and uncertainty together stay in the limit."
      datable
      onEntered={() => {
        setText(EMPTY_CHECK)
        onEntered()
      }}
    >
      <CheckInputs text={text} setText={setText} instruments={instruments} />
    </EntryForm>
  )
}

interface InputsProps {
  readonly text: CheckText
  readonly setText: (text: CheckText) => void
  readonly instruments: readonly string[]
}

const NEEDED = { required: true } as const

const CheckInputs = ({ text, setText, instruments }: InputsProps) => {
  const { set, typed, number, choice } = fieldsOf(text, setText)
  const benches = useApp((s) => s.site?.benches ?? [])
  return (
    <div class="two-columns">
      <div>
        <Choice
          label="What was checked"
          required
          value={text.kind}
          onValue={(kind) => setText(withKind(text, kind))}
          options={Object.entries(CHECKED)}
        />
        {typed('Which one', 'instrument', {
          ...NEEDED,
          maxLength: 60,
          hint: `What the clinic calls it, always the same. Wired: ${instruments.join(', ') || 'none'}.`,
        })}
        {!instruments.includes(text.instrument.trim()) &&
          choice(
            'Bench it serves',
            'bench',
            benches.map((b) => [b.id, b.name]),
            { none: 'all benches' },
          )}
        {text.kind === 'thermometer' && (
          <div class="side-by-side">
            <button type="button" onClick={() => setText(withIcePoint(text))}>
              Fill in the ice point
            </button>
          </div>
        )}
        {typed('Held against', 'reference', {
          ...NEEDED,
          maxLength: 120,
          hint: 'Ice point, another thermometer, standard, balance, with its certificate.',
        })}
        {typed('Unit', 'unit', { ...NEEDED, maxLength: 20 })}
        <DayField label="Next check due on" value={text.due} onValue={set('due')} />
      </div>
      <div>
        {number('Value of the reference', 'expected', NEEDED)}
        {number('Uncertainty of the reference (1 s)', 'u_expected')}
        {number('Value found', 'found', NEEDED)}
        {number('Uncertainty of the value found (1 s)', 'u_found')}
        {number('Greatest difference that passes', 'limit', NEEDED)}
        {number('Value as left', 'left', {
          hint: 'At the same reference, where it was adjusted. Empty: left as found.',
        })}
      </div>
    </div>
  )
}
