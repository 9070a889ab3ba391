import { useMemo, useRef } from 'preact/hooks'
import type { Curves, ReadingsAnswer, Viewed } from '../../../server/wire.ts'
import { ago, concentration, decimal } from '../../../server/wording/format.ts'
import type { SiteClock } from '../../../server/wording/site-clock.ts'
import { useAsked } from '../../ask.ts'
import { LiveChart } from '../../charts/live-chart.tsx'
import { pastReadings } from '../../readings-held.ts'
import { useUnit } from '../../remembered.ts'
import { ProblemNote } from '../frame/problem-note.tsx'

type Bench = Viewed['benches'][number]
type Channel = Bench['channels'][number]

interface ViewedBenchProps {
  readonly bench: Bench
  readonly site_simulated: boolean
  readonly older_s: number
  /** The viewer's time of the answer. */
  readonly at_ms: number
  readonly delivered: number
  readonly clock: SiteClock
}

/** Last values of one bench, each with its age, and the last hour of its dissolved ozone. */
export const ViewedBench = (props: ViewedBenchProps) => {
  const { bench, site_simulated, older_s, clock } = props
  const ozone = bench.channels.find((c) => c.channel === 'dissolved-ozone')
  const others = bench.channels.filter((c) => c !== ozone)
  return (
    <section class="panel viewed">
      <h2>
        {bench.name}
        {bench.simulated && !site_simulated && <i> simulated</i>}
      </h2>
      {bench.channels.length === 0 && <p>No reading of this bench has come.</p>}
      {ozone !== undefined && <LastOzone channel={ozone} older_s={older_s} clock={clock} />}
      <ul class="viewed-others">
        {others.map((c) => (
          <li key={`${c.instrument} ${c.channel}`}>
            {c.channel.replaceAll('-', ' ')}: {wordsOf(c)}, {clock.full(c.at)}, {ago(c.age_s + older_s)}
          </li>
        ))}
      </ul>
      {ozone !== undefined && <LastHour {...props} />}
    </section>
  )
}

interface LastProps {
  readonly channel: Channel
  readonly older_s: number
  readonly clock: SiteClock
}

/** In the form of an old value: what it was, and when. */
const LastOzone = ({ channel, older_s, clock }: LastProps) => {
  const [unit] = useUnit()
  const { value, quality, at, age_s } = channel
  return (
    <p class="viewed-last">
      <span class="viewed-age">{ago(age_s + older_s)}</span>{' '}
      {value === null ? (
        <b>no number ({quality.replaceAll('-', ' ')})</b>
      ) : (
        <>
          dissolved ozone was{' '}
          <b>
            {quality === 'clipped' && 'at least '}
            {concentration(value)} {unit}
          </b>
          {quality !== 'good' && ` (${quality.replaceAll('-', ' ')})`}
        </>
      )}{' '}
      at {clock.full(at)}, not calibrated
    </p>
  )
}

const wordsOf = ({ value, unit, quality }: Channel): string =>
  value === null
    ? `no number (${quality.replaceAll('-', ' ')})`
    : `${decimal(value, 1)} ${unit}${quality === 'good' ? '' : ` (${quality.replaceAll('-', ' ')})`}`

const HOUR_MS = 3_600_000
const COLUMNS = 600
/** The span moves in steps, so that the chart is asked for when there is something new and not all the time. */
const STEP_MS = 60_000

const LastHour = ({ bench, at_ms, delivered, clock }: ViewedBenchProps) => {
  const [unit] = useUnit()
  const end = Math.ceil(at_ms / STEP_MS) * STEP_MS
  const origin = new Date(end - HOUR_MS).toISOString()
  const query = new URLSearchParams({
    bench: bench.bench,
    channel: 'dissolved-ozone',
    from: origin,
    to: new Date(end).toISOString(),
    points: String(COLUMNS),
  })
  const [asked] = useAsked<ReadingsAnswer>(`/api/readings?${query}`, delivered)
  const last = useRef<ReadingsAnswer | null>(null)
  if (asked.kind === 'answer') last.current = asked.value
  const shown = last.current
  const readings = useMemo(() => (shown === null ? [] : pastReadings(shown.points)), [shown])
  const curves = useMemo(() => nothingBut(bench.bench, shown?.from ?? origin), [bench.bench, shown, origin])
  if (asked.kind === 'problem') return <ProblemNote problem={asked.problem} />
  if (readings.length === 0) return <p class="no-chart">No reading within the last hour.</p>
  return (
    <LiveChart
      curves={curves}
      readings={readings}
      up_to_ms={Date.parse(shown?.to ?? origin)}
      clock={clock}
      unit={unit}
      calibrated={false}
      metered
      lag_s={null}
      summary={`Dissolved ozone over the last hour, not calibrated, ${readings.length} points.`}
    />
  )
}

/** A chart of readings alone: nothing is fitted or forecast from delayed readings. */
const nothingBut = (bench: string, origin: string): Curves => ({
  bench,
  batch: null,
  origin,
  fit: [],
  fit_band: [],
  forecast: [],
  forecast_band: [],
  expectation_band: [],
  expectation_text: null,
  by_hand: [],
  target_mg_l: null,
  marks: [],
})
