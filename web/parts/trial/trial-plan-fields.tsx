import { FLUID, GAS_REFERENCE, MEASURING_PLACE, PURGE } from '../../../server/wording/words.ts'
import { useApp } from '../../store.ts'
import type { TrialForm, TrialText } from '../../words/trial-text.ts'
import { Fieldset } from '../form/field.tsx'
import { fieldsOf } from '../form/fields-of.tsx'
import { TrialPowerHelp } from './trial-power.tsx'

interface FieldsProps {
  readonly form: TrialForm
  readonly setForm: (form: TrialForm) => void
}

const NEEDED = { required: true } as const

const fieldsIn = ({ form, setForm }: FieldsProps) =>
  fieldsOf<keyof TrialText>(form.text, (text) => setForm({ ...form, text }))

/** What every batch is made with. */
export const TrialSetting = (props: FieldsProps) => {
  const { form } = props
  const { typed, number, choice } = fieldsIn(props)
  const isPrep = form.kind === 'prep-time'
  return (
    <Fieldset legend="Setting">
      {isPrep && choice('Fluid', 'fluid', Object.entries(FLUID), NEEDED)}
      {isPrep && form.text.fluid === 'other' && typed('Which fluid', 'fluid_detail', NEEDED)}
      {number('Volume', 'volume', { ...NEEDED, unit: 'mL' })}
      {number('Gas value', 'gas', { ...NEEDED, unit: 'µg/mL' })}
      {choice('Gas value stated', 'gas_reference', Object.entries(GAS_REFERENCE), {
        ...NEEDED,
        hint: 'The generator’s papers say which.',
      })}
      {number('Gas flow', 'flow', { ...NEEDED, unit: 'mL/min' })}
      {number(isPrep ? 'Prep time to be proven' : 'Ozone on for', 'prep', {
        ...NEEDED,
        unit: 'min',
        hint: isPrep
          ? 'Ozone on to ozone off.'
          : 'Long enough to level off: a batch that does not holds the answer up.',
      })}
      {choice('Purge', 'purge', Object.entries(PURGE), NEEDED)}
      {choice('Measuring place', 'place', Object.entries(MEASURING_PLACE), {
        ...NEEDED,
        hint: 'A probe that is not sterile makes the fluid not sterile.',
      })}
      <Benches {...props} />
    </Fieldset>
  )
}

const Benches = ({ form, setForm }: FieldsProps) => {
  const site = useApp((s) => s.site)
  const set = (bench: string, on: boolean) =>
    setForm({
      ...form,
      benches: on ? [...form.benches, bench] : form.benches.filter((b) => b !== bench),
    })
  return (
    <fieldset class="checks">
      <legend>{form.kind === 'prep-time' ? 'Benches (needed)' : 'Benches (none: any)'}</legend>
      {(site?.benches ?? []).map((bench) => (
        <label key={bench.id}>
          <input
            type="checkbox"
            checked={form.benches.includes(bench.id)}
            onChange={(event) => set(bench.id, event.currentTarget.checked)}
          />{' '}
          {bench.name}
        </label>
      ))}
    </fieldset>
  )
}

/** What decides. */
export const TrialCriteria = (props: FieldsProps) => {
  const { form } = props
  const { number, choice } = fieldsIn(props)
  if (form.kind === 'fluid-comparison')
    return (
      <Fieldset legend="What decides">
        {number('Margin that does not matter in use', 'margin', {
          ...NEEDED,
          unit: '%',
          hint: 'A difference smaller than this is none for the clinic.',
        })}
        {number('Compared at', 'temperature', {
          ...NEEDED,
          unit: '°C',
          hint: 'Plateaus are brought to this temperature, with the doubt that adds.',
        })}
        {number('Confidence', 'confidence', { ...NEEDED, unit: '%' })}
      </Fieldset>
    )
  return (
    <Fieldset legend="What decides">
      {choice(
        'Time counts until',
        'criterion',
        [
          ['fraction', 'a part of what it levels off at'],
          ['target', 'the target'],
        ],
        NEEDED,
      )}
      {form.text.criterion === 'fraction' &&
        number('Part of what it levels off at', 'percent', { ...NEEDED, unit: '%' })}
      {number('Target', 'target', {
        ...NEEDED,
        unit: 'µg/mL',
        hint: 'To be held at ozone-off and after the purge.',
      })}
      {number('Part of all batches', 'coverage', { ...NEEDED, unit: '%' })}
      {number('Confidence', 'confidence', { ...NEEDED, unit: '%' })}
    </Fieldset>
  )
}

/** Outside these a batch is kept apart, whatever it came to. */
export const TrialLimits = (props: FieldsProps) => {
  const { number } = fieldsIn(props)
  return (
    <Fieldset legend="A batch counts when">
      {number('Temperature while bubbling, from', 'low', { ...NEEDED, unit: '°C' })}
      {number('Temperature while bubbling, up to', 'high', { ...NEEDED, unit: '°C' })}
      {number('Gas is off by at most', 'gas_off', { ...NEEDED, unit: '%' })}
      {number('Flow is off by at most', 'flow_off', { ...NEEDED, unit: '%' })}
      {number('Volume is off by at most', 'volume_off', { ...NEEDED, unit: '%' })}
    </Fieldset>
  )
}

/** How many batches on how many days, with what that is worth and costs, and the seed of their order. */
export const TrialSize = (props: FieldsProps) => {
  const { form, setForm } = props
  const { number, typed } = fieldsIn(props)
  return (
    <Fieldset legend="How many">
      {number(form.kind === 'prep-time' ? 'Batches' : 'Batches of each group', 'batches', NEEDED)}
      {number('Days', 'days', { ...NEEDED, hint: 'At least, on which they are made.' })}
      <TrialPowerHelp
        form={form}
        onBatches={(batches) => setForm({ ...form, text: { ...form.text, batches } })}
      />
      {typed('Seed of the run order', 'seed', {
        ...NEEDED,
        hint: 'Drawn; anybody can work the order out from it.',
      })}
    </Fieldset>
  )
}
