import type { LiveBench } from '../../../server/wire.ts'
import { ago, band, concentration, duration, roughly, type Unit } from '../../../server/wording/format.ts'
import type { SiteClock } from '../../../server/wording/site-clock.ts'
import { forecastBelow } from '../../../server/wording/words.ts'
import type { PotencyShown } from '../../potency-shown.ts'
import { timeLeft } from '../../time-left.ts'
import { notLiveWords } from '../../words/not-live-words.ts'

interface GlanceProps {
  readonly shown: PotencyShown
  readonly unit: Unit
  readonly clock: SiteClock
  readonly now_ms: number
  readonly live: LiveBench
}

/** The value on a bench's slip: large only when live. */
export const GlancePotency = ({ shown, unit, clock, now_ms, live }: GlanceProps) => {
  if (shown.form === 'live')
    return (
      <span class="slip-live">
        <span class="slip-number">{concentration(shown.value_mg_l)}</span>{' '}
        <span class="slip-unit">{unit}</span>{' '}
        <span class="slip-band">
          {band(shown.low_mg_l, shown.high_mg_l) ?? 'no band'}
          {live.potency.calibration === null && ', uncalibrated'}
        </span>
      </span>
    )
  const last = shown.form === 'by-hand' ? shown : shown.last
  const single = live.potency.taken === 'meter' ? 'Spot reading' : 'By hand'
  const head = shown.form === 'by-hand' ? single : notLiveWords(shown.why, live.metered, live.spot_mode).head
  const clipped = shown.form === 'not-live' && shown.why === 'clipped'
  return (
    <span class="slip-not-live">
      <span class="slip-head">{head}</span>{' '}
      {last !== null && !clipped && (
        <span class="slip-last">
          {shown.form === 'by-hand' ? 'measured' : 'last measured'} {concentration(last.value_mg_l)} at{' '}
          {clock.near(last.at, now_ms)}
          {Number.isFinite(last.age_s) && `, ${ago(last.age_s)}`}
        </span>
      )}
    </span>
  )
}

interface GlanceTimeProps {
  readonly live: LiveBench
  readonly shown: PotencyShown
  readonly clock: SiteClock
  readonly now_ms: number
  /** Many benches: only what counts, in few words. */
  readonly short: boolean
}

/** The time on a bench's slip; only words while the value behind it is not live. */
export const GlanceTime = (props: GlanceTimeProps) => {
  const text = words(props)
  return text === null ? null : <span class="slip-time">{text}</span>
}

const words = ({ live, shown, clock, now_ms, short }: GlanceTimeProps): string | null => {
  const left = timeLeft(live, now_ms)
  const holds =
    shown.form !== 'not-live' || (shown.why !== 'not-connected' && live.forecast.basis !== 'readings')
  switch (left.kind) {
    case 'above-until': {
      const at = clock.near(left.at_least, now_ms)
      const estimate = left.basis === 'readings' ? '' : ' (estimate)'
      if (!holds) return `Forecast before this: at least until ${at}`
      return short
        ? `for at least ${duration(left.left_s)}${estimate}`
        : `Above the value you set for at least ${duration(left.left_s)}, until ${at}${estimate}`
    }
    case 'early-bound-passed':
      return short
        ? 'May be below now'
        : `May be below the value you set now (early bound ${clock.near(left.at_least, now_ms)})`
    case 'ozone-off-due': {
      const at = clock.near(left.at, now_ms)
      if (left.in_s <= 0) return `Planned ozone-off was ${at}, ${roughly(-left.in_s)} ago`
      if (!holds) return `Planned ozone-off ${at}`
      return short
        ? `Ozone-off in ${duration(left.in_s)}`
        : `Ozone-off in ${duration(left.in_s)}, planned ${at}`
    }
    case 'below-target':
      return live.decision === 'below' ? null : forecastBelow(live)
    case 'no-target':
      return 'No value set'
    case 'cannot-tell':
      return 'How long cannot be told'
    case 'if-off-now':
    case 'nothing':
      return null
    default:
      return left satisfies never
  }
}
