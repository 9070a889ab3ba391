import { useEffect, useMemo, useState } from 'preact/hooks'
import type { Curves, ReadingsAnswer } from '../../../server/wire.ts'
import { concentration, type Unit } from '../../../server/wording/format.ts'
import type { SiteClock } from '../../../server/wording/site-clock.ts'
import { useAsked } from '../../ask.ts'
import { LiveChart } from '../../charts/live-chart.tsx'
import { hasLetGoOf, pastReadings, type Reading } from '../../readings-held.ts'
import { ProblemNote } from '../frame/problem-note.tsx'

interface BenchChartProps {
  readonly bench: string
  /** Counted from a fixed origin, see `fixedOrigin`. */
  readonly curves: Curves
  readonly live: readonly Reading[]
  readonly until_ms: number
  readonly clock: SiteClock
  readonly unit: Unit
  readonly lag_s: number | null | undefined
  /** False: nothing is measured here, so the points are typed in or there are none. */
  readonly metered: boolean
}

const COLUMNS = 1200

/** Readings from the store for the time before this page was opened, and what has arrived since. */
export const BenchChart = (props: BenchChartProps) => {
  const { bench, curves, live, until_ms, clock, unit } = props
  const [opened_ms, setOpened] = useState(until_ms)
  useEffect(() => setOpened(until_ms), [curves.origin, bench])
  // a page that stays open lets its oldest readings go: the store is asked for them
  const letGo = hasLetGoOf(live, opened_ms)
  useEffect(() => {
    if (letGo) setOpened(until_ms)
  }, [letGo])
  const to = new Date(Math.max(opened_ms, Date.parse(curves.origin) + 1000)).toISOString()
  const query = new URLSearchParams({
    bench,
    channel: 'dissolved-ozone',
    from: curves.origin,
    to,
    points: String(COLUMNS),
  })
  // between spot readings the meter does not see the fluid: nothing it sent then is drawn
  const single = curves.spot_mode === true
  const [asked] = useAsked<ReadingsAnswer>(single ? null : `/api/readings?${query}`)
  const past = useMemo(() => (asked.kind === 'answer' ? pastReadings(asked.value.points) : []), [asked])
  const readings = useMemo(() => (single ? NONE : joined(past, live)), [past, live, single])
  const { fit, by_hand, expectation_band } = curves
  const nothing = [readings, fit, by_hand, expectation_band].every((drawn) => drawn.length === 0)
  if (nothing && (single || asked.kind === 'answer')) return <p class="no-chart">No readings to draw yet.</p>
  const last = readings.filter((r) => r.mg_l !== null).at(-1)
  return (
    <>
      {asked.kind === 'problem' && <ProblemNote problem={asked.problem} />}
      <LiveChart
        curves={curves}
        readings={readings}
        up_to_ms={until_ms}
        clock={clock}
        unit={unit}
        calibrated={asked.kind === 'answer' && asked.value.calibrated}
        lag_s={props.lag_s}
        metered={!single && (props.metered || readings.length > 0)}
        summary={`Dissolved ozone over time, ${readings.length} readings from ${clock.time(curves.origin)} on; ${
          last === undefined
            ? 'none with a number'
            : `the last ${concentration(last.mg_l)} ${unit} at ${clock.time(last.time_us / 1000)}`
        }.`}
      />
    </>
  )
}

const NONE: readonly never[] = []

const joined = (past: readonly Reading[], live: readonly Reading[]): readonly Reading[] => {
  const last = past.at(-1)?.time_us ?? Number.NEGATIVE_INFINITY
  return [...past, ...live.filter((r) => r.time_us > last)]
}
