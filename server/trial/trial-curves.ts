import type { TrialCurves, TrialView } from '../wire.ts'
import type { BatchCurve } from './batch-curves.ts'
import type { Trial } from './trial.ts'
import type { TrialReports } from './trial-reports.ts'

/** Of all batches together: more points only make a drawing dark. */
const MOST_SEEN = 6000

/** Curves of every batch of a trial, in the order they came in. `view`: the trial as worked out. */
export const trialCurvesOf = (
  trial: Trial,
  view: TrialView,
  reports: Pick<TrialReports, 'batchesOf' | 'curves'>,
): TrialCurves => {
  const batches = reports.batchesOf(trial)
  const every = Math.max(1, Math.ceil((batches.length * 2 * SEEN_EACH) / MOST_SEEN))
  return batches.map(({ batch }) => {
    const { rise, decay } = reports.curves(batch)
    const shown = view.members.find((m) => m.id === batch.id)
    return {
      ...{ id: batch.id, number: batch.settings.number },
      ...{ group: shown?.group ?? null, pooled: shown?.pooled ?? false },
      ...{ rise: rise && drawn(rise, every), decay: decay && drawn(decay, every) },
    }
  })
}

const SEEN_EACH = 60

const drawn = (
  { minutes, mean, low, high, seen }: BatchCurve,
  every: number,
): TrialCurves[number]['rise'] => ({
  ...{ minutes: [...minutes], mean: [...mean], low: [...low], high: [...high] },
  seen: seen.filter((_, i) => i % every === 0).map(([minute, value, residual]) => [minute, value, residual]),
})
