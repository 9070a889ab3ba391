import type { TrialBatch, TrialView } from '../../server/wire.ts'
import { decayAt, measuresShown, riseAt, type TrialMeasureShown } from '../../server/wording/trial-words.ts'
import { Plot, type Scale, steps } from './plot.tsx'

/** Each batch beside the group, control charts, and the fitted curves laid over each other. */
export const TrialPlots = ({ trial }: { readonly trial: TrialView }) => (
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
    <h2>Fitted curves</h2>
    <div class="plots">
      <Curves members={trial.members} of="rise" across="minutes since ozone-on" />
      <Curves members={trial.members} of="decay" across="minutes since flow-off" />
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
  const found = outside.length === 0 ? 'none outside' : `outside: ${outside.join(', ')}`
  return (
    <Plot
      title={`${name}, ${unit}`}
      across={`batches in the order of their opening; ${found}`}
      range={{ from: 0, to: end, values: [...points.map((p) => p.value), low, high] }}
      draw={draw}
    />
  )
}

interface CurvesProps {
  readonly members: readonly TrialBatch[]
  readonly of: 'rise' | 'decay'
  readonly across: string
}

const Curves = ({ members, of, across }: CurvesProps) => {
  const curves = members.flatMap((batch) => {
    const at = atOf(batch, of)
    const until = batch[of]?.until_min ?? 0
    return at ? [{ batch, points: steps(0, until, 40).map((minute) => [minute, at(minute)] as const) }] : []
  })
  if (curves.length === 0) return null
  const all = curves.flatMap((c) => c.points)
  const draw = ({ x, y }: Scale) =>
    curves.map(({ batch, points }) => (
      <polyline
        key={batch.id}
        class={batch.pooled ? 'plot-curve' : 'plot-curve plot-apart'}
        points={points.map(([minute, value]) => `${x(minute)},${y(value)}`).join(' ')}
      >
        <title>{batch.number}</title>
      </polyline>
    ))
  return (
    <Plot
      title="dissolved ozone, µg/mL; dashed: does not count"
      across={across}
      ticks
      range={{
        from: 0,
        to: Math.max(...all.map(([minute]) => minute)),
        values: [0, ...all.map(([, v]) => v)],
      }}
      draw={draw}
    />
  )
}

const atOf = ({ rise, decay }: TrialBatch, of: 'rise' | 'decay'): ((minute: number) => number) | null => {
  if (of === 'rise') return rise && ((minute) => riseAt(rise, minute))
  return decay && ((minute) => decayAt(decay, minute))
}
