import { useState } from 'preact/hooks'
import { v7 } from 'uuid'
import { batchDetails, EMPTY_PLAN, type Plan } from '../batch-plan.ts'
import { useWho } from '../remembered.ts'
import { FLUID, GAS_REFERENCE, MEASURING_PLACE, PURGE } from '../words.ts'
import type { BenchView } from './bench-view.ts'
import { Dialog } from './dialog.tsx'
import { Choice, Field, Fieldset } from './field.tsx'
import { WhenButtons } from './when-buttons.tsx'
import { WhoField } from './who-field.tsx'

/** Four details are needed to start; the others may follow as notes and are marked missing until then. */
export const OpenDialog = ({ view, onClose }: { readonly view: BenchView; readonly onClose: () => void }) => {
  const [plan, setPlan] = useState<Plan>(EMPTY_PLAN)
  const [who] = useWho()
  const { acting, clock, now_ms, live } = view
  const details = batchDetails(plan)
  const set = (key: keyof Plan) => (value: string) => setPlan({ ...plan, [key]: value })
  return (
    <Dialog title={`Open batch: ${live.name}`} onClose={onClose}>
      <div class="two-columns">
        <Needed plan={plan} set={set} />
        <MayFollow plan={plan} set={set} />
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
    </Dialog>
  )
}

interface PartProps {
  readonly plan: Plan
  readonly set: (key: keyof Plan) => (value: string) => void
}

const Needed = ({ plan, set }: PartProps) => (
  <Fieldset legend="Needed to start">
    <Choice
      label="Fluid"
      required
      value={plan.fluid}
      onValue={set('fluid')}
      options={Object.entries(FLUID)}
    />
    {plan.fluid === 'other' && (
      <Field label="Which fluid" value={plan.fluid_detail} onValue={set('fluid_detail')} />
    )}
    <Field
      label="Volume"
      unit="mL"
      kind="number"
      required
      value={plan.volume_ml}
      onValue={set('volume_ml')}
    />
    <Choice
      label="Measuring place"
      required
      value={plan.measuring_place}
      onValue={set('measuring_place')}
      options={Object.entries(MEASURING_PLACE)}
      hint="A probe that is not sterile makes the fluid not sterile."
    />
    <Choice
      label="Purge"
      required
      value={plan.purge}
      onValue={set('purge')}
      options={Object.entries(PURGE)}
    />
  </Fieldset>
)

const MayFollow = ({ plan, set }: PartProps) => (
  <Fieldset legend="May stay empty; marked missing">
    <Field label="Lot" value={plan.lot} onValue={set('lot')} maxLength={60} />
    <Field
      label="Value you set (target)"
      unit="µg/mL"
      kind="number"
      value={plan.target}
      onValue={set('target')}
      hint="Without it nothing is said about above or below, and no time is counted."
    />
    <Field label="Gas value" unit="µg/mL" kind="number" value={plan.gas} onValue={set('gas')} />
    <Choice
      label="Gas value stated"
      value={plan.gas_reference}
      onValue={set('gas_reference')}
      options={Object.entries(GAS_REFERENCE)}
      hint="The generator’s papers say which. The same number means up to a quarter less gas in the next state."
    />
    <Field label="Gas flow" unit="mL/min" kind="number" value={plan.flow} onValue={set('flow')} />
    <Field
      label="Prep time"
      unit="min"
      kind="number"
      value={plan.prep}
      onValue={set('prep')}
      hint="Ozone on to ozone off."
    />
    <Field label="Age limit" unit="min" kind="number" value={plan.age_limit} onValue={set('age_limit')} />
    <Field
      label="How long from draw-up to use"
      unit="min"
      kind="number"
      value={plan.lead}
      onValue={set('lead')}
      hint="At least 2. Often 5; the alarm before falling below uses it."
    />
  </Fieldset>
)
