import { useState } from 'preact/hooks'
import type { Problem, Reference, ReferenceWanted } from '../../../server/wire.ts'
import { post } from '../../ask.ts'
import { EMPTY_SAMPLE, type MeasuredKey, type SampleText, sampleTyped } from '../../typed/sample-typed.ts'
import { Fieldset } from '../form/field.tsx'
import { fieldsOf } from '../form/fields-of.tsx'
import { ProblemNote } from '../frame/problem-note.tsx'

interface SampleFormProps {
  /** Of the point it is for. */
  readonly number: number
  readonly onTake: (sample: ReferenceWanted, found: Reference) => void
  readonly onClose: () => void
}

type Said =
  | { readonly kind: 'nothing' }
  | { readonly kind: 'words'; readonly words: string }
  | { readonly kind: 'problem'; readonly problem: Problem }
  | { readonly kind: 'found'; readonly sample: ReferenceWanted; readonly found: Reference }

/** A reference sample as it was read: the server works the value out, and it goes into the point with where it came from. */
export const SampleForm = ({ number, onTake, onClose }: SampleFormProps) => {
  const [text, setText] = useState(EMPTY_SAMPLE)
  const [said, setSaid] = useState<Said>({ kind: 'nothing' })
  const change = (next: SampleText) => {
    setText(next)
    setSaid({ kind: 'nothing' })
  }
  const work = async (): Promise<void> => {
    const typed = sampleTyped(text)
    if (typed.kind === 'refused') return setSaid({ kind: 'words', words: typed.why })
    const answer = await post<Reference>('/api/reference-value', typed.data)
    setSaid(
      answer.kind === 'problem'
        ? { kind: 'problem', problem: answer.problem }
        : { kind: 'found', sample: typed.data, found: answer.value },
    )
  }
  return (
    <Fieldset legend={`Sample for point ${number}`}>
      <SampleInputs text={text} setText={change} />
      <div class="side-by-side">
        <button type="button" onClick={() => void work()}>
          Work out the value
        </button>
        <button type="button" class="plain" onClick={onClose}>
          Close the sample
        </button>
      </div>
      <div role="status">
        {said.kind === 'words' && <p>{said.words}</p>}
        {said.kind === 'found' && <FoundWords found={said.found} />}
      </div>
      {said.kind === 'problem' && <ProblemNote problem={said.problem} />}
      {said.kind === 'found' && said.found.kind === 'value' && (
        <button type="button" class="big" onClick={() => onTake(said.sample, said.found)}>
          Take it into point {number}
        </button>
      )}
    </Fieldset>
  )
}

interface InputsProps {
  readonly text: SampleText
  readonly setText: (text: SampleText) => void
}

const METHODS = [
  ['indigo', 'indigo'],
  ['dpd', 'DPD'],
  ['uv', 'UV absorption'],
] as const
const CHLORIDE = [
  ['no', 'no: distilled or filtered water'],
  ['yes', 'yes: saline'],
] as const

const SampleInputs = ({ text, setText }: InputsProps) => {
  const { typed, number, choice } = fieldsOf(text, setText)
  const pair = (label: string, key: MeasuredKey, unit?: string, hint?: string) => (
    <div class="measured-pair" key={key}>
      {number(label, key, {
        ...(unit === undefined ? {} : { unit }),
        ...(hint === undefined ? {} : { hint }),
      })}
      {number(`± of ${label.toLowerCase()} (1 s)`, `u_${key}`)}
    </div>
  )
  return (
    <>
      {choice('Method of the sample', 'method', METHODS, { required: true })}
      {text.method === 'indigo' && (
        <>
          {typed('Dye lot of the sample', 'dye_lot', { maxLength: 60 })}
          {pair('f of this lot', 'f', 'L/(mg·cm)', 'Both empty where it was not measured: 0.42 ± 0.021.')}
          {pair('Blank', 'blank', 'at 600 nm')}
          {pair(
            'Sample',
            'sample',
            'at 600 nm',
            'In saline the reagent needs malonic acid, or chlorine counts too.',
          )}
          {pair('Path', 'path', 'cm')}
          {pair('Volume of sample', 'ml', 'mL')}
          {pair('Reagent and sample', 'total', 'mL', 'For volumes by weight. Both empty: made up to 100 mL.')}
        </>
      )}
      {text.method === 'dpd' && (
        <>
          {choice('Does the fluid hold chloride?', 'in_chloride', CHLORIDE, {
            required: true,
            hint: 'Every oxidant counts: in saline the value is an upper bound and cannot be a reference.',
          })}
          {pair('The photometer shows', 'chlorine', 'mg/L as Cl₂')}
          {pair(
            'Dilution',
            'dilution',
            '',
            'Volume after over volume of sample; 1 when not diluted. A strong sample bleaches: always dilute.',
          )}
        </>
      )}
      {text.method === 'uv' && (
        <>
          {pair('Absorbance', 'absorbance', 'at 254–260 nm')}
          {pair('Path', 'path', 'cm')}
          {pair(
            'ε used',
            'epsilon',
            'L/(mol·cm)',
            'In print: 2900 to 3300, 14 % apart. 3135 ± 22 at 260 nm: Nemes and others, Ozone Sci. Eng. 22, 287 (2000).',
          )}
        </>
      )}
      {text.method !== '' && (
        <>
          {pair('From draw to measurement', 'delay', 'min', 'All four empty: no correction.')}
          {pair('Half-life', 'half_life', 'min', 'Of this fluid, as it stood: from batches of your own.')}
        </>
      )}
    </>
  )
}

const KIND = { value: '', 'at-least': 'at least ', 'at-most': 'at most ' } as const

const FoundWords = ({ found }: { readonly found: Reference }) => (
  <>
    <p>
      <b>
        {KIND[found.kind]}
        {found.mg_l.toFixed(2)} ± {found.u_mg_l.toFixed(2)} mg/L
      </b>{' '}
      (1 s), of which {found.u_own_mg_l.toFixed(2)} of this sample alone
      {found.shared_percent > 0 &&
        ` and ${found.shared_percent.toFixed(1)} % shared by all samples with this f or ε`}
      {found.lost_percent !== null &&
        `; ${found.lost_percent.toFixed(1)} % lost since the draw is added back`}
      .
    </p>
    <p class="hint">{found.formula}</p>
    {found.notes.map((note) => (
      <p key={note} class="warning">
        {note}.
      </p>
    ))}
    {found.kind !== 'value' && (
      <p>
        A bound cannot be a reference point: take another sample, or type a value with an uncertainty of your
        own.
      </p>
    )}
  </>
)
