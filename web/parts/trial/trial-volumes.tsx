import type { TrialView } from '../../../server/wire.ts'
import { decimal } from '../../../server/wording/format.ts'
import { TRIAL_ANSWER } from '../../../server/wording/trial-words.ts'
import { trialPath } from '../../route.ts'
import { Link } from '../../router.tsx'
import { Plot, type Scale } from '../form/plot.tsx'

/** Prep time over volume, where trials of the same setting were made with several. */
export const TrialVolumes = ({ trial }: { readonly trial: TrialView }) => {
  const points = trial.over_volume
  if (points.length < 2) return null
  const volumes = points.map((p) => p.volume_ml)
  const line = (of: 'typical_min' | 'bound_min', { x, y }: Scale) =>
    points.map((p) => `${x(p.volume_ml)},${y(p[of])}`).join(' ')
  const draw = (scale: Scale) => (
    <>
      <polyline class="plot-curve" points={line('typical_min', scale)} />
      <polyline class="plot-limit plot-open" points={line('bound_min', scale)} />
      {points.map((p) => (
        <g key={p.trial}>
          <circle class="plot-dot" cx={scale.x(p.volume_ml)} cy={scale.y(p.typical_min)} r={4.5} />
          <circle class="plot-hollow" cx={scale.x(p.volume_ml)} cy={scale.y(p.bound_min)} r={4.5} />
        </g>
      ))}
    </>
  )
  return (
    <section>
      <h2>Prep time over volume</h2>
      <p class="hint">
        Trials of the same fluid and setting. Full: a typical batch. Empty, dashed: the tolerance bound. What
        lies between two volumes was not tried.
      </p>
      <div class="plots">
        <Plot
          title="minutes"
          across="volume, mL"
          ticks
          range={{
            ...{ from: 0, to: 1.1 * Math.max(...volumes) },
            values: [0, ...points.flatMap((p) => [p.typical_min, p.bound_min])],
          }}
          draw={draw}
        />
        <table class="list">
          <thead>
            <tr>
              <th scope="col">Volume</th>
              <th scope="col">Typical, min</th>
              <th scope="col">Bound, min</th>
              <th scope="col">Planned</th>
            </tr>
          </thead>
          <tbody>
            {points.map((p) => (
              <tr key={p.trial}>
                <th scope="row">
                  <Link to={trialPath(p.trial)}>{p.volume_ml} mL</Link>
                </th>
                <td data-name="Typical, min">{decimal(p.typical_min, 1)}</td>
                <td data-name="Bound, min">{decimal(p.bound_min, 1)}</td>
                <td data-name="Planned">
                  {decimal(p.prep_min, 1)} min: {TRIAL_ANSWER[p.answer].toLowerCase()}, {p.batches} batches
                </td>
              </tr>
            ))}
          </tbody>
        </table>
      </div>
    </section>
  )
}
