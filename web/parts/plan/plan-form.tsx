import type { MethodSheetView } from '../../../server/wire.ts'
import { FLUID, GAS_REFERENCE, PURGE } from '../../../server/wording/words.ts'
import { type PlanText, planOfSheet } from '../../typed/plan-typed.ts'
import { Fieldset } from '../form/field.tsx'
import { fieldsOf } from '../form/fields-of.tsx'

interface PlanFormProps {
  readonly text: PlanText
  readonly setText: (text: PlanText) => void
}

const NEEDED = { required: true } as const

/** What a batch is planned with. */
export const PlanForm = ({ text, setText }: PlanFormProps) => {
  const { number, choice } = fieldsOf(text, setText)
  return (
    <>
      <Fieldset legend="Fluid and gas">
        {choice('Fluid', 'fluid', Object.entries(FLUID), NEEDED)}
        {number('Volume', 'volume', { ...NEEDED, unit: 'mL' })}
        {number('Fluid temperature', 'temperature', { ...NEEDED, unit: '°C' })}
        {number('Gas value', 'gas', { ...NEEDED, unit: 'µg/mL' })}
        {choice('Gas value stated', 'gas_reference', Object.entries(GAS_REFERENCE), {
          ...NEEDED,
          hint: 'The generator’s papers say which.',
        })}
        {number('Gas flow', 'flow', { ...NEEDED, unit: 'mL/min' })}
      </Fieldset>
      <Fieldset legend="What is done">
        {number('Value to reach (target)', 'target', {
          unit: 'µg/mL',
          hint: 'Without it nothing is said about reaching it or staying above.',
        })}
        {number('Prep time', 'prep', { unit: 'min', hint: 'Ozone on to ozone off. Empty: until 95 %.' })}
        {choice('Purge', 'purge', Object.entries(PURGE), NEEDED)}
        {text.purge !== 'none' && number('Length of the purge', 'purge_min', { ...NEEDED, unit: 'min' })}
      </Fieldset>
      <Fieldset legend="Room">
        {number('Room volume', 'room', { unit: 'm³', hint: 'Floor area times height. Needed for ppm.' })}
        {number('Room temperature', 'room_c', { unit: '°C' })}
        {number('Air pressure', 'pressure', { unit: 'kPa', hint: 'Empty: 101.3, sea level.' })}
      </Fieldset>
    </>
  )
}

interface PresetsProps extends PlanFormProps {
  readonly sheets: readonly MethodSheetView[]
}

/** The approved sheets are the presets. */
export const Presets = ({ sheets, text, setText }: PresetsProps) => {
  const inForce = sheets.flatMap(({ in_force }) => in_force ?? [])
  if (inForce.length === 0) return null
  return (
    <fieldset>
      <legend>Presets: fill in from a method sheet</legend>
      <div class="action-buttons presets">
        {inForce.map(({ sheet, settings }) => (
          <button key={sheet} type="button" onClick={() => setText(planOfSheet(settings, text))}>
            {settings.name}
          </button>
        ))}
      </div>
    </fieldset>
  )
}
