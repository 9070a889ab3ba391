import type { AlarmView } from '../../../server/wire.ts'
import type { SiteClock } from '../../../server/wording/site-clock.ts'
import { Link } from '../../router.tsx'

export const active = (alarm: AlarmView): boolean =>
  alarm.state === 'unacknowledged' ||
  alarm.state === 'acknowledged' ||
  alarm.state === 'returned-unacknowledged' ||
  alarm.state === 'shelved'

export const ALARM_STATE: Readonly<Record<AlarmView['state'], string>> = {
  normal: 'normal',
  unacknowledged: 'not acknowledged',
  acknowledged: 'acknowledged',
  'returned-unacknowledged': 'returned to normal, not acknowledged',
  shelved: 'shelved',
  'suppressed-by-design': 'suppressed by design',
  'out-of-service': 'out of service',
}

const RANK: Readonly<Record<AlarmView['priority'], number>> = { high: 0, medium: 1, low: 2 }

export const byPriority = (a: AlarmView, b: AlarmView): number =>
  RANK[a.priority] - RANK[b.priority] || Date.parse(b.since) - Date.parse(a.since)

interface StripProps {
  readonly alarms: readonly AlarmView[]
  readonly clock: SiteClock
  readonly now_ms: number
  readonly in_touch: boolean
}

/** Alarms of one bench above its value: what is wrong, since when, what to do. */
export const AlarmStrip = ({ alarms, clock, now_ms, in_touch }: StripProps) => {
  const shown = alarms.filter(active).sort(byPriority)
  return (
    <div role="alert" class="alarm-strip">
      {shown.map((alarm) => (
        <div key={alarm.key} class={`alarm alarm-${alarm.state} alarm-${alarm.priority}`}>
          <p class="alarm-head">
            <span class="alarm-word">Alarm, {alarm.priority}</span> {alarm.text}
          </p>
          <p class="alarm-do">{alarm.what_to_do}</p>
          <p class="alarm-state">
            <span>
              {!in_touch && 'as last heard: '}since {clock.near(alarm.since, now_ms)} ·{' '}
              {ALARM_STATE[alarm.state]}
              {alarm.acknowledged_by !== null && ` by ${alarm.acknowledged_by}`}
              {alarm.shelved_until !== null && ` until ${clock.near(alarm.shelved_until, now_ms)}`}
            </span>
            <Link to="/alarms">{alarm.state === 'acknowledged' ? 'Alarms' : 'Acknowledge'}</Link>
          </p>
        </div>
      ))}
    </div>
  )
}
