import { useState } from 'preact/hooks'
import { v7 } from 'uuid'
import type { MethodSheetView, TrialView } from '../../../server/wire.ts'
import { useAsked } from '../../ask.ts'
import { trialTyped } from '../../typed/trial-typed.ts'
import { formOf, newTrial, type TrialForm, type TrialKind, withSheet } from '../../words/trial-text.ts'
import { EntryForm } from '../form/entry-form.tsx'
import { Field } from '../form/field.tsx'
import { TrialGroups } from './trial-groups.tsx'
import { TrialCriteria, TrialLimits, TrialSetting, TrialSize } from './trial-plan-fields.tsx'

interface NewProps {
  readonly kind: TrialKind
  readonly onEntered: () => void
}

/** Plans a trial, from an approved method sheet or freely. */
export const NewTrialForm = ({ kind, onEntered }: NewProps) => {
  const [trial, setTrial] = useState(() => v7())
  const [form, setForm] = useState(() => newTrial(kind))
  const entered = () => {
    setTrial(v7())
    setForm(newTrial(kind))
    onEntered()
  }
  return (
    <EntryForm
      path={`/api/trials/${trial}`}
      button="Fix this plan"
      typed={trialTyped(form)}
      body={(plan) => ({ plan })}
      hint={`${ASKED[kind]} Once a batch belongs to the trial, a change needs a reason.`}
      onEntered={entered}
    >
      <PlanFields form={form} setForm={setForm} />
    </EntryForm>
  )
}

const ASKED = {
  'prep-time':
    'Shown when, with this confidence, this part of all batches reaches the criterion in the prep time and holds the target at ozone-off and after the purge.',
  'fluid-comparison':
    'Every pair of groups is compared in what it levels off at and in its half-life at 20 °C; inside the margin a difference does not matter in use.',
} as const satisfies Readonly<Record<TrialKind, string>>

interface ChangeProps {
  readonly trial: TrialView
  readonly onEntered: () => void
}

/** Changes a plan; the reason is asked for once batches belong to the trial. */
export const ChangeTrialForm = ({ trial, onEntered }: ChangeProps) => {
  const [form, setForm] = useState(() => formOf(trial.plan))
  const [why, setWhy] = useState('')
  const members = trial.members.length
  const typed = trialTyped(form)
  const same =
    typed.kind === 'data' && JSON.stringify(formOf(typed.data)) === JSON.stringify(formOf(trial.plan))
  const needed = members > 0 && why.trim() === ''
  return (
    <EntryForm
      path={`/api/trials/${trial.id}/changes`}
      button="Change the plan"
      typed={
        same
          ? { kind: 'refused', why: 'Nothing is changed yet.' }
          : needed
            ? { kind: 'refused', why: 'Give the reason: batches belong to the trial already.' }
            : typed
      }
      body={(plan) => ({
        plan,
        after_seq: trial.newest_seq,
        ...(why.trim() === '' ? {} : { why: why.trim() }),
      })}
      hint={
        members > 0
          ? 'The report shows both plans, the reason, and that batches were there already.'
          : 'No batch belongs to the trial yet; the report shows both plans.'
      }
      onEntered={onEntered}
    >
      <PlanFields form={form} setForm={setForm} />
      <Field
        label="Reason of the change"
        value={why}
        onValue={setWhy}
        maxLength={500}
        required={members > 0}
      />
    </EntryForm>
  )
}

interface FieldsProps {
  readonly form: TrialForm
  readonly setForm: (form: TrialForm) => void
}

const PlanFields = ({ form, setForm }: FieldsProps) => {
  const props = { form, setForm }
  return (
    <>
      <SheetPresets {...props} />
      <Field
        label="Name of the trial"
        value={form.text.title}
        onValue={(title) => setForm({ ...form, text: { ...form.text, title } })}
        required
      />
      <div class="two-columns">
        <div>
          {form.kind === 'fluid-comparison' && <TrialGroups {...props} />}
          <TrialSetting {...props} />
        </div>
        <div>
          <TrialCriteria {...props} />
          <TrialLimits {...props} />
          <TrialSize {...props} />
        </div>
      </div>
    </>
  )
}

/** The approved sheets fill in the setting; every field may be typed over. */
const SheetPresets = ({ form, setForm }: FieldsProps) => {
  const [asked] = useAsked<MethodSheetView[]>('/api/method-sheets')
  const sheets = asked.kind === 'answer' ? asked.value.flatMap((s) => s.in_force ?? []) : []
  if (sheets.length === 0) return null
  return (
    <fieldset>
      <legend>Fill in the setting from a method sheet</legend>
      <div class="action-buttons presets">
        {sheets.map(({ sheet, settings }) => (
          <button key={sheet} type="button" onClick={() => setForm(withSheet(form, settings))}>
            {settings.name}
          </button>
        ))}
      </div>
    </fieldset>
  )
}
