import { concentration } from '../../../server/wording/format.ts'
import { BASIS } from '../../../server/wording/words.ts'
import type { BenchView } from './bench-view.ts'

/** Between readings by hand, or with no meter at all: a range, never one number, and said to be an estimate. */
export const EstimateNow = ({ view: { shown, live, unit, in_touch } }: { readonly view: BenchView }) => {
  const wanted = shown.form === 'by-hand' || (shown.form === 'not-live' && shown.why === 'no-reading')
  const estimate = live.estimate_now ?? null
  if (!wanted || !in_touch || estimate === null) return null
  return (
    <p class="estimate-now">
      estimated now{' '}
      <em>
        {concentration(estimate.low_mg_l)} to {concentration(estimate.high_mg_l)} {unit}
      </em>{' '}
      <span>not measured; {BASIS[estimate.basis]}</span>
    </p>
  )
}
