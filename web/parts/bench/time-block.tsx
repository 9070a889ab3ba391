import type { Forecast, LiveBench } from '../../../server/wire.ts'
import { duration, roughly } from '../../../server/wording/format.ts'
import { reason } from '../../../server/wording/reasons.ts'
import type { SiteClock } from '../../../server/wording/site-clock.ts'
import { BASIS, forecastBelow, PHASE, underWay } from '../../../server/wording/words.ts'
import type { PotencyShown } from '../../potency-shown.ts'
import { ofForecast, type TimeLeft, timeLeft } from '../../time-left.ts'

interface TimeProps {
  readonly live: LiveBench
  readonly shown: PotencyShown
  readonly clock: SiteClock
  readonly now_ms: number
  readonly connected: boolean
}

/** Phase, and the one time that matters in it. A countdown is large only while the value behind it holds. */
export const TimeBlock = ({ live, shown, clock, now_ms, connected }: TimeProps) => {
  const left = timeLeft(live, now_ms)
  const holds = shown.form !== 'not-live' || live.forecast.basis !== 'readings'
  return (
    <div class="time-block">
      <p class="phase">
        {!connected && 'last heard: '}
        {PHASE[live.phase.kind]}
        {live.phase.since !== null && (
          <span class="since">
            {' '}
            since {clock.near(live.phase.since, now_ms)}
            {connected && `, ${roughly((now_ms - Date.parse(live.phase.since)) / 1000)}`}
          </span>
        )}
      </p>
      <Time left={left} live={live} clock={clock} now_ms={now_ms} big={holds && connected} />
    </div>
  )
}

interface LeftProps {
  readonly left: TimeLeft
  readonly live: LiveBench
  readonly clock: SiteClock
  readonly now_ms: number
  readonly big: boolean
}

const Time = ({ left, live, clock, now_ms, big }: LeftProps) => {
  const at = (iso: string | null) => (iso === null ? 'a time that cannot be told' : clock.near(iso, now_ms))
  switch (left.kind) {
    case 'nothing':
      return null
    case 'no-target':
      return <p class="time-words">No value set: no time is counted.</p>
    case 'below-target':
      return (
        <p class="time-words">
          {live.decision === 'below' && !underWay(live.phase)
            ? 'No time is left above it.'
            : `${forecastBelow(live)}.`}
        </p>
      )
    case 'cannot-tell':
      return (
        <p class="time-words">How long cannot be told{left.why === null ? '.' : `: ${reason(left.why)}`}</p>
      )
    case 'if-off-now':
      return <IfOffNow at_least={left.at_least} until={left.until} at={at} />
    case 'early-bound-passed':
      return (
        <p class="time-words time-passed">
          May be below the value you set now: the early bound {at(left.at_least)} has passed
          {left.until !== null && ` (forecast ${at(left.until)})`}.
        </p>
      )
    case 'ozone-off-due':
      return (
        <>
          <OzoneOffDue in_s={left.in_s} at={at(left.at)} big={big} />
          <UnderPlan forecast={live.forecast} at={at} now_ms={now_ms} />
        </>
      )
    case 'above-until':
      return big ? (
        <>
          <p class="countdown">
            <span class="countdown-word">above for at least</span>{' '}
            <span class="countdown-time">{duration(left.left_s)}</span>
          </p>
          <p class="time-words">
            Above the value you set until {at(left.until)} (at least until {at(left.at_least)})
          </p>
          {left.basis !== 'readings' && <p class="basis">{BASIS[left.basis]}</p>}
        </>
      ) : (
        <p class="time-words time-old">
          Forecast from readings before this: above the value you set until {at(left.until)} (at least until{' '}
          {at(left.at_least)}). Not counted down while there is no live value.
        </p>
      )
    default:
      return left satisfies never
  }
}

const OzoneOffDue = ({ in_s, at, big }: { in_s: number; at: string; big: boolean }) => {
  if (in_s <= 0)
    return (
      <p class="time-words time-passed">
        Planned ozone-off was {at}, {roughly(-in_s)} ago
      </p>
    )
  return big ? (
    <p class="countdown countdown-plan">
      <span class="countdown-word">ozone-off in</span> <span class="countdown-time">{duration(in_s)}</span>{' '}
      <span class="countdown-at">planned {at}</span>
    </p>
  ) : (
    <p class="time-words">Planned ozone-off {at}</p>
  )
}

interface UnderPlanProps {
  readonly forecast: Forecast
  readonly at: (iso: string | null) => string
  readonly now_ms: number
}

const UnderPlan = ({ forecast, at, now_ms }: UnderPlanProps) => {
  const left = ofForecast(forecast, now_ms)
  return left.kind === 'if-off-now' ? <IfOffNow at_least={left.at_least} until={left.until} at={at} /> : null
}

const IfOffNow = ({ until, at_least, at }: IfOffProps) => (
  <p class="time-words if-off-now">
    <b>If ozone were off now:</b> above the value you set until {at(until)} (at least until {at(at_least)})
  </p>
)

interface IfOffProps {
  readonly until: string | null
  readonly at_least: string | null
  readonly at: (iso: string | null) => string
}
