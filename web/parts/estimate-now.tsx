import type { Curves } from '../../server/wire.ts'
import { bandAt } from '../charts/chart-data.ts'
import { concentration } from '../format.ts'
import { BASIS } from '../words.ts'
import type { BenchView } from './bench-view.ts'

/** Between readings by hand, or after the meter fell silent: a range, never one number, and said to be an estimate. */
export const EstimateNow = ({ view, curves }: { readonly view: BenchView; readonly curves: Curves }) => {
  const { shown, live, now_ms, unit } = view
  const wanted = shown.form === 'by-hand' || (shown.form === 'not-live' && shown.why === 'no-reading')
  if (!wanted || live.phase.kind !== 'standing') return null
  const now = bandAt(curves.forecast_band, (now_ms - Date.parse(curves.origin)) / 60_000)
  if (now === null) return null
  return (
    <p class="estimate-now">
      estimated now{' '}
      <em>
        {concentration(now.low)} to {concentration(now.high)} {unit}
      </em>{' '}
      <span>not measured; {BASIS[live.forecast.basis]}</span>
    </p>
  )
}
