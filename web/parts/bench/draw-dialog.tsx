import { useState } from 'preact/hooks'
import { ARITHMETIC_ONLY, USE } from '../../../server/wording/cautions.ts'
import { concentration, decimal, millilitres } from '../../../server/wording/format.ts'
import { amountIn, type Basis, drawBasis } from '../../draw-arithmetic.ts'
import { numberTyped, textTyped } from '../../typed/typed.ts'
import { useWho } from '../../who.ts'
import { Dialog } from '../form/dialog.tsx'
import { Field } from '../form/field.tsx'
import { WhenButtons } from '../form/when-buttons.tsx'
import { WhoField } from '../form/who-field.tsx'
import { AmountForm } from './amount-form.tsx'
import { newestSeq } from './bench-view.ts'
import { CautionList } from './caution-list.tsx'
import type { EntryDialogProps } from './plain-dialog.tsx'

/** What was drawn, typed each time. The arithmetic beside it refuses rather than guess; the entry itself does not. */
export const DrawDialog = ({ view, batch, onClose }: EntryDialogProps) => {
  const [mlText, setMl] = useState('')
  const [reference, setReference] = useState('')
  const [who] = useWho()
  const { acting, clock, now_ms, live, shown, unit } = view
  const ml = numberTyped(mlText)
  const basis = drawBasis(shown, live, batch, now_ms)
  const tooMuch = ml !== null && ml > batch.left_ml
  const sendable = ml !== null && ml > 0 && !tooMuch && who.trim() !== ''
  return (
    <Dialog title={`Draw up: ${live.name}`} onClose={onClose}>
      <CautionList cautions={[USE]} />
      <BasisLine basis={basis} unit={unit} left_ml={batch.left_ml} />
      <div class="two-columns">
        <div>
          <Field
            label="Volume drawn"
            unit="mL"
            kind="number"
            required
            value={mlText}
            onValue={setMl}
            hint={`${millilitres(batch.left_ml)} are left.`}
          />
          <p class="answer" aria-live="polite">
            {tooMuch ? `More than the ${millilitres(batch.left_ml)} that are left.` : holds(basis, ml)}
          </p>
        </div>
        <AmountForm
          basis={basis}
          left_ml={batch.left_ml}
          sheet_mark_ml={batch.method_sheet?.mark_ml ?? null}
        />
      </div>
      <p class="arithmetic-only">{ARITHMETIC_ONLY}</p>
      <div class="two-columns">
        <WhoField needed />
        <Field
          label="Reference"
          value={reference}
          onValue={setReference}
          maxLength={40}
          hint="May stay empty. A number or code that means nothing to others; no names."
        />
      </div>
      <WhenButtons
        clock={clock}
        now_ms={now_ms}
        disabled={!sendable}
        onWhen={(when) => {
          if (ml === null) return
          const opaque = textTyped(reference)
          const data = opaque === null ? { ml } : { ml, opaque_reference: opaque }
          const entry = { kind: 'drawn-up', data } as const
          void acting.send({ entry, when, now_ms, expected_seq: newestSeq(batch, view), batch: batch.id })
          onClose()
        }}
      />
    </Dialog>
  )
}

const holds = (basis: Basis, ml: number | null): string => {
  if (basis.kind === 'refused' || ml === null) return ''
  const amount = amountIn(basis, ml)
  return amount === null
    ? ''
    : `holds ${decimal(amount.low, 0)} to ${decimal(amount.high, 0)} µg of dissolved ozone`
}

interface BasisProps {
  readonly basis: Basis
  readonly unit: string
  readonly left_ml: number
}

const BasisLine = ({ basis, unit }: BasisProps) =>
  basis.kind === 'refused' ? (
    <p class="warning">
      <b>No arithmetic.</b> {basis.why}
    </p>
  ) : (
    <p>
      Value shown: <b>{concentration(basis.value)}</b> {unit}, {concentration(basis.low)} to{' '}
      {concentration(basis.high)}.
    </p>
  )
