import { useContext, useMemo, useRef } from 'preact/hooks'
import type { Curves } from '../../../server/wire.ts'
import type { Unit } from '../../../server/wording/format.ts'
import type { SiteClock } from '../../../server/wording/site-clock.ts'
import { begunAnew, fixedOrigin } from '../../charts/chart-data.ts'
import { paceMs } from '../../charts/pace.ts'
import { serverNow } from '../../moment.ts'
import type { Reading } from '../../readings-held.ts'
import type { AppState } from '../../state.ts'
import { moment, StoreContext, useApp, useNow } from '../../store.ts'
import { BenchChart } from './bench-chart.tsx'

interface PacedChartProps {
  readonly bench: string
  /** The server's time when the page was opened. */
  readonly opened_ms: number
  readonly clock: SiteClock
  readonly unit: Unit
  readonly lag_s: number | null
  readonly metered: boolean
}

/**
 * The chart of a bench as messages come in, drawn at a pace of its own however often they come: it is the most costly
 * part of the page. What a person did, and another batch, is drawn at once.
 */
export const PacedChart = ({ bench, opened_ms, ...looks }: PacedChartProps) => {
  useApp((s) => factsOf(s.curves.get(bench)))
  useNow()
  const told = toldOf(useContext(StoreContext).get(), bench)
  const drawn = useRef(told)
  if (isDue(drawn.current, told)) drawn.current = told
  const shown = drawn.current
  const begun_ms = begunAnew(opened_ms, shown?.until_ms ?? opened_ms)
  const curves = useMemo(() => shown && fixedOrigin(shown.curves, begun_ms), [shown?.curves, begun_ms])
  if (shown === null || curves === undefined || curves === null) return null
  return (
    <BenchChart {...looks} bench={bench} curves={curves} live={shown.readings} until_ms={shown.until_ms} />
  )
}

interface Told {
  readonly curves: Curves
  readonly readings: readonly Reading[]
  readonly until_ms: number
}

const toldOf = ({ curves, readings, benches }: AppState, bench: string): Told | null => {
  const [told, heard] = [curves.get(bench), benches.get(bench)]
  if (told === undefined || heard === undefined) return null
  const until_ms = serverNow(heard.value.at, heard.heard, moment())
  return { curves: told, readings: readings.get(bench) ?? NONE, until_ms }
}

const NONE: readonly never[] = []

/** The page looks once a second, and not to the millisecond. */
const LOOK_SLACK_MS = 200

const isDue = (drawn: Told | null, told: Told | null): boolean => {
  if (drawn === null || told === null || factsOf(drawn.curves) !== factsOf(told.curves)) return true
  const stood_ms = told.until_ms - drawn.until_ms
  return stood_ms < 0 || stood_ms >= paceMs(told.until_ms - Date.parse(told.curves.origin)) - LOOK_SLACK_MS
}

/** What changes by a person's doing and not with time; between batches the origin moves with time. */
const factsOf = (curves: Curves | undefined): string | undefined =>
  curves &&
  [
    curves.batch,
    curves.batch === null ? '' : curves.origin,
    curves.target_mg_l,
    curves.marks.length,
    curves.by_hand.length,
  ].join(' ')
