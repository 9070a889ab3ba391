import { useState } from 'preact/hooks'
import { decimal, millilitres } from '../../../server/wording/format.ts'
import { type Basis, SYRINGE_MARKS_ML, volumeFor } from '../../draw-arithmetic.ts'
import { numberTyped } from '../../typed/typed.ts'
import { Choice, Field } from '../form/field.tsx'

interface AmountProps {
  readonly basis: Basis
  readonly left_ml: number
  /** The syringe of the method sheet; another may be chosen. */
  readonly sheet_mark_ml: number | null
}

/** The volume that holds a typed amount. Nothing is filled in, kept or suggested. */
export const AmountForm = ({ basis, left_ml, sheet_mark_ml }: AmountProps) => {
  const [amount, setAmount] = useState('')
  const [mark, setMark] = useState(sheet_mark_ml === null ? '' : String(sheet_mark_ml))
  return (
    <div>
      <Field label="Volume that holds an amount" unit="µg" kind="number" value={amount} onValue={setAmount} />
      <Choice
        label="Mark of the syringe"
        value={mark}
        onValue={setMark}
        options={marks(sheet_mark_ml).map((ml) => [String(ml), `every ${ml} mL`] as const)}
        hint="The distance between two lines on it."
      />
      <p class="answer" aria-live="polite">
        {answer(basis, numberTyped(amount), numberTyped(mark), left_ml)}
      </p>
    </div>
  )
}

const marks = (of_sheet: number | null): readonly number[] =>
  [...new Set([...SYRINGE_MARKS_ML, ...(of_sheet === null ? [] : [of_sheet])])].sort((a, b) => a - b)

const answer = (basis: Basis, wanted: number | null, mark: number | null, left_ml: number): string => {
  if (basis.kind === 'refused' || wanted === null || mark === null) return ''
  const volume = volumeFor(basis, wanted, mark, left_ml)
  if (volume.kind === 'refused') return volume.why
  const { ml, exact, holds_ug } = volume
  return `${millilitres(ml)}, to the mark (the band allows ${millilitres(exact.low)} to ${millilitres(exact.high)}); ${millilitres(ml)} hold ${decimal(holds_ug.low, 0)} to ${decimal(holds_ug.high, 0)} µg`
}
