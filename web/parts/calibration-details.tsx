import type { CalibrationText } from '../calibration-typed.ts'
import { FLUID } from '../words.ts'
import { DayField } from './day-field.tsx'
import { Choice, Field } from './field.tsx'

interface DetailsProps {
  readonly text: CalibrationText
  readonly setText: (text: CalibrationText) => void
}

const SENSES = [
  ['activity', 'through a membrane (partial pressure)'],
  ['concentration', 'the concentration itself (light, bare electrode)'],
] as const
const STIRRED = [
  ['stirred', 'stirred'],
  ['bubbling', 'by bubbling'],
  ['still', 'still'],
] as const
const COMPENSATION = [
  ['none', 'none'],
  ['membrane', 'the membrane only'],
  ['membrane-and-solubility', 'membrane and solubility'],
] as const
const REFERENCE = [
  ['indigo', 'indigo'],
  ['dpd', 'DPD'],
  ['uv', 'UV absorption'],
  ['iodometric', 'iodometric titration'],
  ['comparison-meter', 'another meter'],
  ['other', 'other'],
] as const

/** What makes two calibrations comparable, and what an inspection asks for. Nothing here is needed to enter one. */
export const CalibrationDetails = ({ text, setText }: DetailsProps) => {
  const set = (key: keyof CalibrationText) => (value: string) => setText({ ...text, [key]: value })
  const typed = (label: string, key: keyof CalibrationText, unit?: string, hint?: string) => (
    <Field
      label={label}
      kind="number"
      value={text[key]}
      onValue={set(key)}
      {...(unit === undefined ? {} : { unit })}
      {...(hint === undefined ? {} : { hint })}
    />
  )
  return (
    <div class="two-columns">
      <div>
        <Choice
          label="Calibrated in"
          value={text.fluid}
          onValue={set('fluid')}
          options={Object.entries(FLUID)}
          hint="A membrane probe calibrated in water over-reads saline by about 5 %."
        />
        {text.fluid === 'other' && (
          <Field label="Which fluid" value={text.fluid_detail} onValue={set('fluid_detail')} />
        )}
        <Choice
          label="The probe senses"
          value={text.senses}
          onValue={set('senses')}
          options={SENSES}
          hint="Through a membrane: in another fluid its values are corrected for salt. Not stated: the difference widens the band."
        />
        {typed('Temperature of the fluid', 'temperature', '°C')}
        <Choice label="Stirring" value={text.stirred} onValue={set('stirred')} options={STIRRED} />
        <Choice
          label="Temperature compensation of the meter"
          value={text.compensation}
          onValue={set('compensation')}
          options={COMPENSATION}
        />
        {typed('Probe response time (63 %)', 'tau', 's')}
        {typed('Its uncertainty', 'u_tau', 's (1 s)')}
        <DayField label="Due again on" value={text.due} onValue={set('due')} />
      </div>
      <div>
        <Choice
          label="Kind of reference"
          value={text.reference_method}
          onValue={set('reference_method')}
          options={REFERENCE}
          hint="Batches measured against different kinds are not compared without saying so."
        />
        <Field label="Dye lot" value={text.dye_lot} onValue={set('dye_lot')} maxLength={60} />
        {typed('f of the dye lot', 'f', 'L/(mg·cm)')}
        {typed('ε used', 'epsilon', 'L/(mol·cm)', 'Published values run from 2900 to 3300, 14 % apart.')}
        <Field label="Certificate" value={text.certificate} onValue={set('certificate')} maxLength={120} />
        {typed('Acceptance limit', 'limit', '% of reference')}
        {typed('As found: shown', 'found_shown')}
        {typed('As found: reference', 'found_reference')}
        {typed(
          'As left: shown',
          'left_shown',
          undefined,
          'As sent by the meter; the slope and zero above apply to it.',
        )}
        {typed('As left: reference', 'left_reference')}
      </div>
    </div>
  )
}
