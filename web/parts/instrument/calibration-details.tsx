import { COMPENSATION, FLUID } from '../../../server/wording/words.ts'
import type { CalibrationText } from '../../typed/calibration-typed.ts'
import { DayField } from '../form/day-field.tsx'
import { fieldsOf } from '../form/fields-of.tsx'

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
  const { set, typed, number, choice } = fieldsOf(text, setText)
  return (
    <div class="two-columns">
      <div>
        {choice('Calibrated in', 'fluid', Object.entries(FLUID), {
          hint: 'A membrane probe calibrated in water over-reads saline by about 5 %.',
        })}
        {text.fluid === 'other' && typed('Which fluid', 'fluid_detail')}
        {choice('The probe senses', 'senses', SENSES, {
          hint: 'Through a membrane: in another fluid or at another temperature its values are corrected. Not stated: the difference widens the band.',
        })}
        {number('Temperature of the fluid', 'temperature', { unit: '°C' })}
        {choice('Stirring', 'stirred', STIRRED)}
        {choice('Temperature compensation of the meter', 'compensation', Object.entries(COMPENSATION), {
          none: 'not known',
          hint: 'What the meter does by itself; the program does the rest. Not known: the band widens with every degree from the calibration, until it does not count as calibrated.',
        })}
        {number('Probe response time (63 %)', 'tau', {
          unit: 's',
          hint: 'Only where it comes from somewhere else: a step test enters its own.',
        })}
        {number('Its uncertainty', 'u_tau', { unit: 's (1 s)' })}
        <DayField label="Due again on" value={text.due} onValue={set('due')} />
      </div>
      <div>
        {choice('Kind of reference', 'reference_method', REFERENCE, {
          hint: 'Batches measured against different kinds are not compared without saying so.',
        })}
        {typed('Dye lot', 'dye_lot', { maxLength: 60 })}
        {number('f of the dye lot', 'f', { unit: 'L/(mg·cm)' })}
        {number('ε used', 'epsilon', {
          unit: 'L/(mol·cm)',
          hint: 'Published values run from 2900 to 3300, 14 % apart.',
        })}
        {typed('Certificate', 'certificate', { maxLength: 120 })}
        {number('Acceptance limit', 'limit', {
          unit: '% of reference',
          hint: 'For as found; of the span for linearity, from three levels on.',
        })}
        {number('As found: shown', 'found_shown')}
        {number('As found: reference', 'found_reference')}
        {number('As left: shown', 'left_shown', {
          hint: 'As sent by the meter; the slope and zero above apply to it.',
        })}
        {number('As left: reference', 'left_reference')}
      </div>
    </div>
  )
}
