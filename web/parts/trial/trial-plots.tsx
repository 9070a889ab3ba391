import type { TrialView } from '../../../server/wire.ts'
import { measuresShown, type TrialMeasureShown } from '../../../server/wording/trial-words.ts'
import { Plot, type Scale } from '../form/plot.tsx'

/** Each batch beside the group, and control charts. */
export const TrialPlots = ({ trial }: { readonly trial: TrialView }) =>
  measuresShown(trial).every((m) => m.points.length === 0) ? null : (
    <section>
      <h2>Each batch beside the group</h2>
      <p class="hint">
        Upright line: 95 % interval of one batch. Full: it counts; empty: it does not. Band: 95 % interval of
        the mean. Dashed: tolerance bound.
      </p>
      <div class="plots">
        {measuresShown(trial).map((measure) => (
          <Points key={measure.name} measure={measure} />
        ))}
      </div>
      <h2>Control charts</h2>
      <p class="hint">Limits from the mean moving range; a batch outside them stands large.</p>
      <div class="plots">
        {trial.result.charts.map((chart) => (
          <Control key={chart.name} chart={chart} />
        ))}
      </div>
    </section>
  )

const Points = ({ measure }: { readonly measure: TrialMeasureShown }) => {
  const { name, unit, points, spread, bound } = measure
  if (points.length === 0) return null
  const limit = bound?.with_calibration ?? bound?.value
  const values = [
    ...points.flatMap(({ point }) => [point.low, point.high ?? point.value]),
    ...(spread ? [spread.low, spread.high] : []),
    ...(limit === undefined ? [] : [limit]),
  ]
  const end = points.length + 1
  const draw = ({ x, y }: Scale) => (
    <>
      {spread && (
        <rect
          class="plot-band"
          x={x(0)}
          y={y(spread.high)}
          width={x(end) - x(0)}
          height={y(spread.low) - y(spread.high)}
        />
      )}
      {limit !== undefined && <line class="plot-limit" x1={x(0)} x2={x(end)} y1={y(limit)} y2={y(limit)} />}
      {points.map(({ batch, point }, i) => (
        <g key={batch.id}>
          <title>{batch.number}</title>
          <line
            class="plot-line"
            x1={x(i + 1)}
            x2={x(i + 1)}
            y1={y(point.low)}
            y2={y(point.high ?? point.value)}
          />
          <circle
            class={batch.pooled ? 'plot-dot' : 'plot-hollow'}
            cx={x(i + 1)}
            cy={y(point.value)}
            r={4.5}
          />
        </g>
      ))}
    </>
  )
  return <Plot title={`${name}, ${unit}`} across="batches" range={{ from: 0, to: end, values }} draw={draw} />
}

const Control = ({ chart }: { readonly chart: TrialView['result']['charts'][number] }) => {
  const { points, centre, low, high, name, unit, outside } = chart
  const end = points.length + 1
  const draw = ({ x, y }: Scale) => (
    <>
      <line class="plot-centre" x1={x(0)} x2={x(end)} y1={y(centre)} y2={y(centre)} />
      {[low, high].map((limit) => (
        <line key={limit} class="plot-limit" x1={x(0)} x2={x(end)} y1={y(limit)} y2={y(limit)} />
      ))}
      <polyline class="plot-curve" points={points.map((p, i) => `${x(i + 1)},${y(p.value)}`).join(' ')} />
      {points.map((p, i) => (
        <circle
          key={p.batch}
          class="plot-dot"
          cx={x(i + 1)}
          cy={y(p.value)}
          r={outside.includes(p.number) ? 9 : 4.5}
        >
          <title>{p.number}</title>
        </circle>
      ))}
    </>
  )
  const found = `${outside.length === 0 ? 'none outside' : `outside: ${outside.join(', ')}`}${chart.drift_from === null ? '' : `; a drift from ${chart.drift_from} on`}`
  return (
    <Plot
      title={`${name}, ${unit}`}
      across={`batches in the order of their opening; ${found}`}
      range={{ from: 0, to: end, values: [...points.map((p) => p.value), low, high] }}
      draw={draw}
    />
  )
}
