import { useState } from 'preact/hooks'
import { v7 } from 'uuid'
import { FLUID, GAS_REFERENCE, MEASURING_PLACE, PURGE } from '../../../server/wording/words.ts'
import { batchDetails, EMPTY_PLAN, type Plan } from '../../batch-plan.ts'
import { useWho } from '../../who.ts'
import { Fieldset } from '../form/field.tsx'
import { fieldsOf } from '../form/fields-of.tsx'
import { WhenButtons } from '../form/when-buttons.tsx'
import { WhoField } from '../form/who-field.tsx'
import type { BenchView } from './bench-view.ts'

interface FreelyProps {
  readonly view: BenchView
  readonly onClose: () => void
}

/** Four details are needed to start; the others may follow as notes and are marked missing until then. */
export const OpenFreely = ({ view, onClose }: FreelyProps) => {
  const [plan, setPlan] = useState<Plan>(EMPTY_PLAN)
  const [who] = useWho()
  const { acting, clock, now_ms } = view
  const details = batchDetails(plan)
  return (
    <>
      <p>Without a method sheet: the record will say so.</p>
      <div class="two-columns">
        <Needed plan={plan} setPlan={setPlan} />
        <MayFollow plan={plan} setPlan={setPlan} />
      </div>
      <WhoField needed />
      {details.kind === 'refused' && (
        <p class="hint" aria-live="polite">
          {details.why}
        </p>
      )}
      <WhenButtons
        clock={clock}
        now_ms={now_ms}
        disabled={details.kind === 'refused' || who.trim() === ''}
        onWhen={(when) => {
          if (details.kind === 'refused') return
          const entry = { kind: 'batch-opened', data: details.data } as const
          void acting.send({ entry, when, now_ms, expected_seq: 0, batch: v7() })
          onClose()
        }}
      />
    </>
  )
}

interface PartProps {
  readonly plan: Plan
  readonly setPlan: (plan: Plan) => void
}

const NEEDED = { required: true } as const

const Needed = ({ plan, setPlan }: PartProps) => {
  const { typed, number, choice } = fieldsOf(plan, setPlan)
  return (
    <Fieldset legend="Needed to start">
      {choice('Fluid', 'fluid', Object.entries(FLUID), NEEDED)}
      {plan.fluid === 'other' && typed('Which fluid', 'fluid_detail')}
      {number('Volume', 'volume_ml', { ...NEEDED, unit: 'mL' })}
      {choice('Measuring place', 'measuring_place', Object.entries(MEASURING_PLACE), {
        ...NEEDED,
        hint: 'A probe that is not sterile makes the fluid not sterile.',
      })}
      {choice('Purge', 'purge', Object.entries(PURGE), NEEDED)}
    </Fieldset>
  )
}

const MayFollow = ({ plan, setPlan }: PartProps) => {
  const { typed, number, choice } = fieldsOf(plan, setPlan)
  return (
    <Fieldset legend="May stay empty; marked missing">
      {typed('Lot', 'lot', { maxLength: 60 })}
      {number('Value you set (target)', 'target', {
        unit: 'µg/mL',
        hint: 'Without it nothing is said about above or below, and no time is counted.',
      })}
      {number('Gas value', 'gas', { unit: 'µg/mL' })}
      {choice('Gas value stated', 'gas_reference', Object.entries(GAS_REFERENCE), {
        hint: 'The generator’s papers say which. The same number means up to a quarter less gas in the next state.',
      })}
      {number('Gas flow', 'flow', { unit: 'mL/min' })}
      {number('Planned temperature', 'temperature', { unit: '°C' })}
      {number('Prep time', 'prep', { unit: 'min', hint: 'Ozone on to ozone off.' })}
      {number('Age limit', 'age_limit', { unit: 'min' })}
      {number('How long from draw-up to use', 'lead', {
        unit: 'min',
        hint: 'At least 2. Often 5; the alarm before falling below uses it.',
      })}
    </Fieldset>
  )
}
