import type { MethodSheet, MethodSheetVersion, MethodSheetView, TrialView } from '../../../server/wire.ts'
import { useAsked } from '../../ask.ts'
import { handOver } from '../../planned-sheet.ts'
import { go, Link } from '../../router.tsx'
import { sheetLine } from '../../words/sheet-words.ts'
import { EntryForm } from '../form/entry-form.tsx'

type PrepPlan = Extract<TrialView['plan'], { kind: 'prep-time' }>

/** A closed trial that showed its prep time: a version of a method sheet may rest on it. */
export const TrialSheet = ({ trial }: { readonly trial: TrialView }) => {
  const { closed, plan } = trial
  if (plan.kind !== 'prep-time' || closed?.answer !== 'shown') return null
  return <ShownSheets trial={trial} plan={plan} />
}

const ShownSheets = ({ trial, plan }: { readonly trial: TrialView; readonly plan: PrepPlan }) => {
  const [asked, again] = useAsked<MethodSheetView[]>('/api/method-sheets')
  if (asked.kind !== 'answer') return null
  const fitting = asked.value.filter((s) => fits(newestOf(s).settings, plan))
  return (
    <section class="panel screen-only">
      <h2>A method sheet with this prep time</h2>
      <p>
        {plan.prep_min} min may now stand on a method sheet for {plan.volume_ml} mL at this setting, as shown
        by this trial. Another person approves it.
      </p>
      {fitting.map((sheet) => (
        <NextVersion key={sheet.sheet} trial={trial} plan={plan} sheet={sheet} onEntered={again} />
      ))}
      <p>
        <button
          type="button"
          onClick={() => {
            handOver(sheetOf(trial.id, plan))
            go('/sheets')
          }}
        >
          Write a new method sheet from this trial
        </button>
      </p>
    </section>
  )
}

const newestOf = ({ versions }: MethodSheetView): MethodSheetVersion => versions[0] as MethodSheetVersion

/** Of the same fluid and setting; its prep time and target are what the trial is about. */
const fits = (sheet: MethodSheet, plan: PrepPlan): boolean =>
  sheet.fluid === plan.fluid &&
  (plan.fluid_detail ?? sheet.fluid_detail) === sheet.fluid_detail &&
  sheet.volume_ml === plan.volume_ml &&
  sheet.gas.ug_per_ml === plan.gas.ug_per_ml &&
  sheet.gas.reference === plan.gas.reference &&
  sheet.flow_ml_per_min === plan.flow_ml_per_min &&
  sheet.purge === plan.purge &&
  sheet.target_mg_l <= plan.target_mg_l

const sheetOf = (trial: string, plan: PrepPlan): Partial<MethodSheet> => ({
  fluid: plan.fluid,
  ...(plan.fluid_detail === undefined ? {} : { fluid_detail: plan.fluid_detail }),
  ...{ volume_ml: plan.volume_ml, gas: plan.gas, flow_ml_per_min: plan.flow_ml_per_min },
  ...{ purge: plan.purge, target_mg_l: plan.target_mg_l, prep_min: plan.prep_min },
  ...(plan.measuring_place === undefined ? {} : { measuring_place: plan.measuring_place }),
  prep_time_shown_by: trial,
})

interface NextProps {
  readonly trial: TrialView
  readonly plan: PrepPlan
  readonly sheet: MethodSheetView
  readonly onEntered: () => void
}

/** The next version, in two taps: only the prep time and what it rests on change. */
const NextVersion = ({ trial, plan, sheet, onEntered }: NextProps) => {
  const newest = newestOf(sheet)
  const { settings, version } = newest
  if (settings.prep_time_shown_by === trial.id)
    return (
      <p>
        <Link to="/sheets">{settings.name}</Link>, version {version}, rests on this trial
        {newest.state === 'waiting' ? '; it waits for approval by another person' : ''}.
      </p>
    )
  return (
    <EntryForm
      path={`/api/method-sheets/${sheet.sheet}/versions`}
      button={`Write version ${version + 1} of ${settings.name} with ${plan.prep_min} min`}
      typed={{
        kind: 'data',
        data: { ...settings, prep_min: plan.prep_min, prep_time_shown_by: trial.id },
      }}
      body={(next) => ({ after_version: version, settings: next })}
      hint="It comes into force when another person approves it."
      onEntered={onEntered}
    >
      <p class="hint">
        Now: {sheetLine(settings)}, prep time {settings.prep_min} min. All other settings and steps stay.
      </p>
    </EntryForm>
  )
}
