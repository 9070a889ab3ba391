import type { AlarmView, EntryView } from '../../server/wire.ts'
import { useAsked } from '../ask.ts'
import { AcknowledgeForm } from '../parts/alarm/acknowledge-form.tsx'
import { AlarmFigures } from '../parts/alarm/alarm-figures.tsx'
import { ALARM_STATE, active, byPriority } from '../parts/alarm/alarm-list.tsx'
import { AlarmSettings } from '../parts/alarm/alarm-settings.tsx'
import { ShelveForm, UnshelveButton } from '../parts/alarm/shelve-form.tsx'
import { ToldElsewhere } from '../parts/alarm/told-elsewhere.tsx'
import { UnsignedList } from '../parts/bench/unsigned-list.tsx'
import { ProblemNote } from '../parts/frame/problem-note.tsx'
import { useSiteClock } from '../parts/frame/site.ts'
import { useServerNow } from '../parts/frame/site-time.tsx'
import { EntryList } from '../parts/record/entry-list.tsx'
import { benchPath } from '../route.ts'
import { Link } from '../router.tsx'
import { useApp, useNow } from '../store.ts'

/** Alarms now, with what to do, and alarms past. */
export const AlarmsScreen = () => {
  const alarms = useApp((s) => s.alarms)
  const clock = useSiteClock()
  const now_ms = useServerNow(useNow())
  const shown = alarms.filter(active).sort(byPriority)
  const resting = alarms.filter((a) => a.state === 'suppressed-by-design' || a.state === 'out-of-service')
  return (
    <div class="page alarm-page">
      <h1>Alarms</h1>
      <UnsignedList />
      {shown.length === 0 && <p class="empty">No alarm now.</p>}
      {shown.map((alarm) => (
        <section key={alarm.key} class={`alarm alarm-${alarm.state} alarm-${alarm.priority}`}>
          <h2 class="alarm-head">
            <span class="alarm-word">{alarm.priority} priority</span> {alarm.text}
          </h2>
          <p class="alarm-do">{alarm.what_to_do}</p>
          <p class="alarm-state">
            {alarm.bench === null ? (
              <Link to="/program">Program</Link>
            ) : (
              <Link to={benchPath(alarm.bench)}>Bench {alarm.bench}</Link>
            )}{' '}
            since {clock.near(alarm.since, now_ms)} · {ALARM_STATE[alarm.state]}
            {alarm.acknowledged_by !== null && ` by ${alarm.acknowledged_by}`}
            {alarm.acknowledged_at !== null && ` at ${clock.near(alarm.acknowledged_at, now_ms)}`}
            {alarm.shelved_until !== null && ` until ${clock.near(alarm.shelved_until, now_ms)}`}
          </p>
          {(alarm.state === 'unacknowledged' || alarm.state === 'returned-unacknowledged') && (
            <AcknowledgeForm alarm={alarm} />
          )}
          {alarm.may_be_shelved && STANDS.has(alarm.state) && <ShelveForm alarm={alarm} />}
          {alarm.state === 'shelved' && <UnshelveButton alarm={alarm} />}
        </section>
      ))}
      {resting.length > 0 && (
        <section>
          <h2>Not sounding</h2>
          <ul>
            {resting.map((alarm) => (
              <li key={alarm.key}>
                {alarm.bench === null ? '' : `Bench ${alarm.bench}: `}
                {alarm.text} ({ALARM_STATE[alarm.state]})
              </li>
            ))}
          </ul>
        </section>
      )}
      <ToldElsewhere />
      <Past version={alarms} />
      <section>
        <h2>How the alarms themselves do</h2>
        <AlarmFigures version={alarms} />
      </section>
      <section>
        <h2>Limits and delays</h2>
        <AlarmSettings clock={clock} />
      </section>
    </div>
  )
}

const STANDS: ReadonlySet<AlarmView['state']> = new Set(['unacknowledged', 'acknowledged'])

const Past = ({ version }: { readonly version: unknown }) => {
  const clock = useSiteClock()
  const [asked] = useAsked<{ entries: EntryView[] }>('/api/alarms/history', version)
  return (
    <section>
      <h2>Past</h2>
      {asked.kind === 'problem' && <ProblemNote problem={asked.problem} />}
      {asked.kind === 'answer' && asked.value.entries.length === 0 && <p>Nothing yet.</p>}
      {asked.kind === 'answer' && <EntryList entries={asked.value.entries} clock={clock} newest={200} />}
    </section>
  )
}
