import type { BatchRecord } from '../../../server/wire.ts'
import type { Unit } from '../../../server/wording/format.ts'
import type { SiteClock } from '../../../server/wording/site-clock.ts'
import { BenchChart } from '../bench/bench-chart.tsx'

interface RecordChartProps {
  readonly record: BatchRecord
  readonly clock: SiteClock
  readonly unit: Unit
}

/** The whole batch, from its curves' origin to its end or to the last thing known of it. */
export const RecordChart = ({ record, clock, unit }: RecordChartProps) => (
  <section>
    <h2>Course</h2>
    <BenchChart
      bench={record.summary.head.bench}
      curves={record.curves}
      live={NONE}
      until_ms={endOf(record)}
      clock={clock}
      unit={unit}
      lag_s={undefined}
      metered={record.curves.by_hand.length === 0}
    />
  </section>
)

const NONE: readonly never[] = []

const endOf = ({ summary, entries, fits, curves }: BatchRecord): number => {
  const known = [curves.origin, ...entries.map((e) => e.happened_at), ...fits.map((f) => f.end)]
  return summary.head.discarded_at === null
    ? Math.max(...known.map((t) => Date.parse(t)))
    : Date.parse(summary.head.discarded_at)
}
