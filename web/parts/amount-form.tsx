import { useState } from 'preact/hooks'
import { decimal, millilitres } from '../../server/wording/format.ts'
import { type Basis, SYRINGE_MARKS_ML, volumeFor } from '../draw-arithmetic.ts'
import { numberTyped } from '../typed.ts'
import { Choice, Field } from './field.tsx'

/** The volume that holds a typed amount. Nothing is filled in, kept or suggested. */
export const AmountForm = ({ basis, left_ml }: { readonly basis: Basis; readonly left_ml: number }) => {
  const [amount, setAmount] = useState('')
  const [mark, setMark] = useState('')
  return (
    <div>
      <Field label="Volume that holds an amount" unit="µg" kind="number" value={amount} onValue={setAmount} />
      <Choice
        label="Mark of the syringe"
        value={mark}
        onValue={setMark}
        options={SYRINGE_MARKS_ML.map((ml) => [String(ml), `every ${ml} mL`] as const)}
        hint="The distance between two lines on it."
      />
      <p class="answer" aria-live="polite">
        {answer(basis, numberTyped(amount), numberTyped(mark), left_ml)}
      </p>
    </div>
  )
}

const answer = (basis: Basis, wanted: number | null, mark: number | null, left_ml: number): string => {
  if (basis.kind === 'refused' || wanted === null || mark === null) return ''
  const volume = volumeFor(basis, wanted, mark, left_ml)
  if (volume.kind === 'refused') return volume.why
  const { ml, exact, holds_ug } = volume
  return `${millilitres(ml)}, to the mark (the band allows ${millilitres(exact.low)} to ${millilitres(exact.high)}); ${millilitres(ml)} hold ${decimal(holds_ug.low, 0)} to ${decimal(holds_ug.high, 0)} µg`
}
