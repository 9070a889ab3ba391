import { useState } from 'preact/hooks'
import type { MethodSheet, MethodSheetVersion } from '../../../server/wire.ts'
import { FLUID, GAS_REFERENCE, MEASURING_PLACE, PHASE, PURGE } from '../../../server/wording/words.ts'
import { withShown } from '../../sheet-shown.ts'
import { type SheetText, STEP_PHASES, sheetOf, textOfSheet } from '../../typed/sheet-typed.ts'
import { EntryForm } from '../form/entry-form.tsx'
import { Fieldset } from '../form/field.tsx'
import { fieldsOf } from '../form/fields-of.tsx'
import { TextArea } from '../form/text-area.tsx'

interface SheetFormProps {
  /** Of the sheet; made here for a new one. */
  readonly sheet: string
  /** The newest version, or what a plan handed over. */
  readonly from: Partial<MethodSheet>
  readonly after: Pick<MethodSheetVersion, 'version'> | null
  readonly onEntered: () => void
}

/** A new sheet or the next version: written here, approved by another person. Nothing is filled in for the person. */
export const SheetForm = ({ sheet, from, after, onEntered }: SheetFormProps) => {
  const [text, setText] = useState<SheetText>(() => textOfSheet(from))
  const typed = withShown(sheetOf(text, from.steps), from)
  const version = (after?.version ?? 0) + 1
  return (
    <EntryForm
      path={`/api/method-sheets/${sheet}/versions`}
      button={`Write version ${version}`}
      typed={typed}
      body={(settings) => ({ after_version: version - 1, settings })}
      hint="It comes into force when another person approves it. Open batches go on as they were opened."
      onEntered={onEntered}
    >
      {from.prep_time_shown_by !== undefined && (
        <p aria-live="polite">
          {typed.kind === 'data' && typed.data.prep_time_shown_by === undefined
            ? 'The trial showed the prep time for another setting than this: the version will say that none shows it.'
            : 'Its prep time was shown by a trial; that holds while fluid, volume, gas, flow, purge and prep time stay.'}
        </p>
      )}
      <div class="two-columns">
        <Settings text={text} setText={setText} />
        <Rules text={text} setText={setText} />
      </div>
      <Fieldset legend="Steps, one a line">
        <p class="hint">
          They are shown with the batch in their phase and ticked there. The equipment’s instructions and
          local rules come first.
        </p>
        {STEP_PHASES.map((during) => (
          <TextArea
            key={during}
            label={PHASE[during]}
            rows={during === 'set-up' ? 6 : 3}
            value={text[`steps ${during}`]}
            onValue={(lines) => setText({ ...text, [`steps ${during}`]: lines })}
          />
        ))}
      </Fieldset>
    </EntryForm>
  )
}

interface PartProps {
  readonly text: SheetText
  readonly setText: (text: SheetText) => void
}

const NEEDED = { required: true } as const

const Settings = ({ text, setText }: PartProps) => {
  const { typed, number, choice } = fieldsOf(text, (next) => setText(next as SheetText))
  return (
    <Fieldset legend="Settings">
      {typed('Name', 'name', { ...NEEDED, maxLength: 60 })}
      {choice('Fluid', 'fluid', Object.entries(FLUID), NEEDED)}
      {text.fluid === 'other' && typed('Which fluid', 'fluid_detail', NEEDED)}
      {number('Volume', 'volume_ml', { ...NEEDED, unit: 'mL' })}
      {number('Value to reach (target)', 'target', { ...NEEDED, unit: 'µg/mL' })}
      {number('Gas value', 'gas', { ...NEEDED, unit: 'µg/mL' })}
      {choice('Gas value stated', 'gas_reference', Object.entries(GAS_REFERENCE), {
        ...NEEDED,
        hint: 'The generator’s papers say which.',
      })}
      {number('Gas flow', 'flow', { ...NEEDED, unit: 'mL/min' })}
      {number('Prep time', 'prep', { ...NEEDED, unit: 'min', hint: 'Ozone on to ozone off.' })}
      {number('Planned temperature', 'temperature', { unit: '°C', hint: 'May stay empty.' })}
    </Fieldset>
  )
}

const Rules = ({ text, setText }: PartProps) => {
  const { number, choice } = fieldsOf(text, (next) => setText(next as SheetText))
  return (
    <Fieldset legend="Rules">
      {choice('Purge', 'purge', Object.entries(PURGE), NEEDED)}
      {choice('Measuring place', 'measuring_place', Object.entries(MEASURING_PLACE), {
        ...NEEDED,
        hint: 'A probe that is not sterile makes the fluid not sterile.',
      })}
      {number('Age limit', 'age_limit', { ...NEEDED, unit: 'min', hint: 'From the opening of the batch.' })}
      {number('How long from draw-up to use', 'lead', {
        ...NEEDED,
        unit: 'min',
        hint: 'At least 2. Often 5; the alarm before falling below uses it.',
      })}
      {number('Bubble again: how many times', 'again_times', {
        hint: 'Empty: the same fill is never bubbled again. By-products are reported by some and not by others; bubbling again raises the concern.',
      })}
      {number('Bubble again: ozone in all', 'again_min', {
        unit: 'min',
        hint: 'At most, the first bubbling included.',
      })}
      {number('Mark of the syringe', 'mark', {
        unit: 'mL',
        hint: 'The distance between two lines on it. May stay empty.',
      })}
    </Fieldset>
  )
}
