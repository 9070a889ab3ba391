import { csvRow } from '../routes/csv.ts'
import type { TrialCurves, TrialView } from '../wire.ts'

const HEAD = [
  'trial',
  'batch',
  'group',
  'pooled',
  'phase',
  'what',
  'minutes',
  'mg_l',
  'low',
  'high',
  'residual_mg_l',
]

/** What the plots of a trial are drawn from: points of each fitted curve with its band, and readings with their residuals. */
export function* trialCurvesCsv(trial: TrialView, curves: TrialCurves): Generator<string> {
  yield `# trial ${trial.id}: ${trial.title.replaceAll(/\s+/g, ' ')}\r\n`
  if (trial.simulated) yield '# SIMULATED\r\n'
  yield '# minutes from ozone-on (rise) and from flow-off (decay); readings are thinned evenly\r\n'
  yield csvRow(HEAD)
  for (const { number, group, pooled, ...phases } of curves)
    for (const phase of ['rise', 'decay'] as const) {
      const curve = phases[phase]
      if (curve === null) continue
      const own = [trial.id, number, group, pooled ? 'yes' : 'no', phase] as const
      for (const [i, minute] of curve.minutes.entries())
        yield csvRow([
          ...[...own, 'curve', minute],
          ...[curve.mean[i] ?? null, curve.low[i] ?? null, curve.high[i] ?? null, null],
        ])
      for (const [minute, value, residual] of curve.seen)
        yield csvRow([...own, 'reading', minute, value, null, null, residual])
    }
}
