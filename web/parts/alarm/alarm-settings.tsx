import { useState } from 'preact/hooks'
import { v7 } from 'uuid'
import type { AlarmSettingView, Problem, SetAlarm } from '../../../server/wire.ts'
import { ALARM_TITLE } from '../../../server/wording/alarm-words.ts'
import type { SiteClock } from '../../../server/wording/site-clock.ts'
import { post, useAsked } from '../../ask.ts'
import { numberTyped, textTyped } from '../../typed/typed.ts'
import { useWho } from '../../who.ts'
import { Choice, Field } from '../form/field.tsx'
import { WhoField } from '../form/who-field.tsx'
import { ProblemNote } from '../frame/problem-note.tsx'

/** Every alarm with its limits, each to be changed with a reason. */
export const AlarmSettings = ({ clock }: { readonly clock: SiteClock }) => {
  const [asked, again] = useAsked<AlarmSettingView[]>('/api/alarms/settings')
  if (asked.kind === 'asking') return <p>Asking …</p>
  if (asked.kind === 'problem') return <ProblemNote problem={asked.problem} />
  return (
    <>
      {asked.value.map((setting) => (
        <details key={`${setting.alarm}${setting.set_at}`} class="panel">
          <summary>
            {ALARM_TITLE[setting.alarm]}
            {!setting.in_service && ' (out of service)'}
            {setting.in_service && setting.set_by !== null && ' (changed here)'}
          </summary>
          {setting.set_by !== null && setting.set_at !== null && (
            <p>
              Set by {setting.set_by}, {clock.full(setting.set_at)}: {setting.set_why}
            </p>
          )}
          <SettingForm setting={setting} onSet={again} />
        </details>
      ))}
    </>
  )
}

interface SettingProps {
  readonly setting: AlarmSettingView
  readonly onSet: () => void
}

const SettingForm = ({ setting, onSet }: SettingProps) => {
  const [who] = useWho()
  const [why, setWhy] = useState('')
  const [typed, setTyped] = useState(() => typedOf(setting))
  const [problem, setProblem] = useState<Problem | null>(null)
  const name = textTyped(who)
  const reason = textTyped(why)
  const set = (key: string) => (value: string) => setTyped({ ...typed, [key]: value })
  const send = async (): Promise<void> => {
    if (name === null || reason === null) return
    const wrong = noNumber(setting, typed)
    if (wrong !== undefined) return setProblem(notSent(`"${wrong}" is not a number.`))
    const body: SetAlarm = { id: v7(), who: name, why: reason, setting: settingOf(setting, typed) }
    const answer = await post<AlarmSettingView>('/api/alarms/settings', body)
    setProblem(answer.kind === 'problem' ? answer.problem : null)
    if (answer.kind === 'answer') onSet()
  }
  return (
    <form
      onSubmit={(event) => {
        event.preventDefault()
        void send()
      }}
    >
      {setting.limits.map((limit) => (
        <Field
          key={limit.name}
          label={limit.words}
          unit={limit.unit}
          kind="number"
          value={typed[limit.name] ?? ''}
          onValue={set(limit.name)}
          hint={`Empty: ${limit.value} ${limit.unit} (${limit.source}). From ${limit.least} to ${limit.most}.`}
        />
      ))}
      {setting.may_be_silenced && (
        <>
          <Choice
            label="Priority"
            value={typed['priority'] ?? ''}
            onValue={set('priority')}
            none="as the program ships it"
            options={[
              ['high', 'high'],
              ['medium', 'medium'],
              ['low', 'low'],
            ]}
          />
          <Field label="On-delay" unit="s" kind="number" value={typed['on'] ?? ''} onValue={set('on')} />
          <Choice
            label="In service"
            value={typed['in_service'] ?? ''}
            onValue={set('in_service')}
            required={true}
            options={[
              ['yes', 'yes'],
              ['no', 'no: out of service, nobody is warned'],
            ]}
          />
        </>
      )}
      <Field label="Off-delay" unit="s" kind="number" value={typed['off'] ?? ''} onValue={set('off')} />
      <div class="two-columns">
        <WhoField needed={true} />
        <Field label="Why" value={why} onValue={setWhy} maxLength={500} required={true} />
      </div>
      <button type="submit" class="big act-next" disabled={name === null || reason === null}>
        Set
      </button>
      {problem !== null && <ProblemNote problem={problem} />}
    </form>
  )
}

type Typed = Readonly<Record<string, string>>

const typedOf = (setting: AlarmSettingView): Typed => ({
  priority: setting.priority ?? '',
  on: text(setting.on_delay_s),
  off: text(setting.off_delay_s),
  in_service: setting.in_service ? 'yes' : 'no',
  ...Object.fromEntries(setting.limits.map((limit) => [limit.name, text(limit.set)])),
})

const text = (value: number | null): string => (value === null ? '' : String(value))

/** The first thing typed where a number is wanted that is none. */
const noNumber = (setting: AlarmSettingView, typed: Typed): string | undefined =>
  ['on', 'off', ...setting.limits.map((limit) => limit.name)]
    .map((key) => typed[key] ?? '')
    .find((value) => value.trim() !== '' && numberTyped(value) === null)

const notSent = (detail: string): Problem => ({ type: 'about:blank', title: 'Not sent', status: 0, detail })

const settingOf = (setting: AlarmSettingView, typed: Typed): SetAlarm['setting'] => {
  const number = (key: string) => numberTyped(typed[key] ?? '')
  const limits = Object.fromEntries(
    setting.limits.flatMap((limit) => {
      const value = number(limit.name)
      return value === null ? [] : [[limit.name, value]]
    }),
  )
  const on = number('on')
  const off = number('off')
  const priority = typed['priority'] as 'high' | 'medium' | 'low' | ''
  return {
    alarm: setting.alarm,
    in_service: typed['in_service'] !== 'no',
    ...(priority === '' ? {} : { priority }),
    ...(on === null ? {} : { on_delay_s: on }),
    ...(off === null ? {} : { off_delay_s: off }),
    ...(Object.keys(limits).length === 0 ? {} : { limits }),
  }
}
