import type { LiveBench, Potency } from '../../../server/wire.ts'
import { ago, band, concentration, decimal, justNow, type Unit } from '../../../server/wording/format.ts'
import { reason } from '../../../server/wording/reasons.ts'
import type { SiteClock } from '../../../server/wording/site-clock.ts'
import type { Measured, NotLive as NotLiveWhy, PotencyShown } from '../../potency-shown.ts'
import { notLiveWords } from '../../words/not-live-words.ts'

interface FigureProps {
  readonly shown: PotencyShown
  readonly live: LiveBench
  readonly unit: Unit
  readonly clock: SiteClock
  readonly now_ms: number
}

/**
 * The value as large as the page has. Only a live measurement gets the large plain figure; everything else
 * gets words in its place and the last number small, struck with hatching, beside its time.
 */
export const PotencyFigure = (props: FigureProps) => {
  const { shown } = props
  switch (shown.form) {
    case 'live':
      return <Live {...props} measured={shown} />
    case 'by-hand':
      return <ByHand {...props} measured={shown} fresh={shown.fresh} />
    case 'not-live':
      return <NotLive {...props} shown={shown} />
    default:
      return shown satisfies never
  }
}

const Live = ({ measured, live: { potency }, unit }: FigureProps & { readonly measured: Measured }) => (
  <div class="potency potency-live">
    <p class="figure">
      <span class="number">{concentration(measured.value_mg_l)}</span> <span class="unit">{unit}</span>
    </p>
    <p class="band">
      {band(measured.low_mg_l, measured.high_mg_l) ?? 'no band'} <span class="what">dissolved ozone</span>
    </p>
    <p class="age">
      measured {justNow(measured.age_s)} · {calibrated(potency)} · {lagWords(potency)}
    </p>
  </div>
)

const ByHand = ({ measured, live, unit, clock, now_ms, fresh }: FigureProps & ByHandProps) => (
  <div class={`potency potency-by-hand${fresh ? '' : ' potency-not-live'}`}>
    <p class="head">
      {live.potency.taken === 'meter' ? 'Spot reading' : 'By hand'}, {ago(measured.age_s)}
    </p>
    <p class="last">
      measured <span class="number">{concentration(measured.value_mg_l)}</span> {unit} at{' '}
      {clock.near(measured.at, now_ms)}, {band(measured.low_mg_l, measured.high_mg_l) ?? 'no band'}
    </p>
    <p class="age">
      {fresh ? 'One reading, not a live value' : 'Too old to go by: take another reading'}
      {live.potency.taken === 'meter' && ` · ${calibrated(live.potency)}`}
      {live.potency.why !== null && ` · ${live.potency.why}`}
    </p>
  </div>
)

interface ByHandProps {
  readonly measured: Measured
  readonly fresh: boolean
}

const NotLive = ({
  shown,
  live: { potency, metered, spot_mode },
  unit,
  clock,
  now_ms,
}: FigureProps & NotLiveProps) => {
  const { head, todo } = notLiveWords(shown.why, metered, spot_mode)
  return (
    <div class="potency potency-not-live">
      <p class="head">
        <span class="head-words">{head}</span>
      </p>
      {shown.why === 'clipped' && potency.full_scale_mg_l !== null && (
        <p class="at-least">
          at least {concentration(potency.full_scale_mg_l)} {unit}: the number is not known
        </p>
      )}
      {shown.last !== null && shown.why !== 'clipped' && (
        <p class="last">
          last measured{' '}
          <s class="old-number">
            {concentration(shown.last.value_mg_l)} {unit}
          </s>{' '}
          at {clock.near(shown.last.at, now_ms)}
          {Number.isFinite(shown.last.age_s) && `, ${ago(shown.last.age_s)}`}
        </p>
      )}
      <p class="todo">{todo}</p>
      {metered && shown.words !== null && TELLS_WHY.has(shown.why) && (
        <p class="why">{reason(shown.words)}</p>
      )}
    </div>
  )
}

/** The others say it all in their head and in what to do: two lines are read, four are not. */
const TELLS_WHY: ReadonlySet<NotLiveWhy> = new Set(['fault', 'below-range', 'settling'])

interface NotLiveProps {
  readonly shown: Extract<PotencyShown, { form: 'not-live' }>
}

const lagWords = ({ lag_s }: Potency): string =>
  lag_s === null
    ? 'probe’s response not known'
    : `corrected for the probe’s ${decimal(lag_s, lag_s < 10 && lag_s % 1 !== 0 ? 1 : 0)} s response`

const calibrated = ({ calibration, uncalibrated_why: why }: Potency): string =>
  calibration === null
    ? `uncalibrated${why === undefined ? '' : `: ${why}`}`
    : `calibrated ${wholeDay(calibration.at)}, ${calibration.method}`

/** A date is not torn apart at its hyphens: non-breaking ones. */
const wholeDay = (iso: string): string => iso.slice(0, 10).replaceAll('-', '\u2011')
