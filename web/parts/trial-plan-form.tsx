import { useState } from 'preact/hooks'
import { v7 } from 'uuid'
import type { MethodSheetView } from '../../server/wire.ts'
import { useAsked } from '../ask.ts'
import { useApp } from '../store.ts'
import { EMPTY_TRIAL, type TrialText, trialTyped } from '../trial-typed.ts'
import { EntryForm } from './entry-form.tsx'
import { Choice, Field } from './field.tsx'

/** Plans a trial that proves the prep time of an approved method sheet. */
export const TrialPlanForm = ({ onEntered }: { readonly onEntered: () => void }) => {
  const [asked] = useAsked<MethodSheetView[]>('/api/method-sheets')
  const site = useApp((s) => s.site)
  const [trial, setTrial] = useState(() => v7())
  const [sheetId, setSheet] = useState('')
  const [text, setText] = useState(EMPTY_TRIAL)
  const set = (key: keyof TrialText) => (value: string) => setText({ ...text, [key]: value })
  const sheets = asked.kind === 'answer' ? asked.value.flatMap((s) => s.in_force ?? []) : []
  const sheet = sheets.find((s) => s.sheet === sheetId)?.settings
  const field = (key: keyof TrialText, label: string, unit?: string) => (
    <Field label={label} value={text[key]} onValue={set(key)} {...(unit === undefined ? {} : { unit })} />
  )
  const entered = () => {
    setTrial(v7())
    setText(EMPTY_TRIAL)
    onEntered()
  }
  return (
    <EntryForm
      path={`/api/trials/${trial}`}
      button="Fix this plan"
      typed={trialTyped(text, sheet)}
      body={(plan) => ({ plan })}
      hint="95 % confidence that 90 % of batches reach 95 % of what they level off at in the sheet’s prep time, and hold its target at ozone-off and after the purge. Once a batch belongs to the trial, a change needs a reason."
      onEntered={entered}
    >
      <Choice
        label="Method sheet"
        value={sheetId}
        onValue={setSheet}
        options={sheets.map((s) => [s.sheet, s.settings.name] as const)}
        none="choose"
      />
      <Choice
        label="Bench"
        value={text.bench}
        onValue={set('bench')}
        options={(site?.benches ?? []).map((b) => [b.id, b.name] as const)}
        none="choose"
      />
      {field('title', 'Name of the trial')}
      {field('low', 'Temperature while bubbling, from', '°C')}
      {field('high', 'Temperature while bubbling, up to', '°C')}
      {field('gas', 'Gas may be off by', '%')}
      {field('flow', 'Flow may be off by', '%')}
      {field('batches', 'Batches, at least')}
      {field('days', 'Days, at least')}
      {field('seed', 'Seed of the run order')}
    </EntryForm>
  )
}
