import type { TrialPowerWanted } from '../../server/wire.ts'
import type { TrialForm } from '../words/trial-text.ts'
import { numberTyped, refused, type Typed } from './typed.ts'

/** What the number of batches is worked out from, beside the plan itself. */
export type PowerText = Readonly<Record<'spread' | 'typical' | 'each', string>>

export const EMPTY_POWER: PowerText = { spread: '', typical: '', each: '' }

/** The question how many batches, or what of it is missing. */
export const powerTyped = (form: TrialForm, text: PowerText): Typed<TrialPowerWanted> => {
  const spread = numberTyped(text.spread)
  const each = numberTyped(text.each)
  const confidence = numberTyped(form.text.confidence)
  if (spread === null || spread < 0.1 || spread > 100)
    return refused('Type by how much batches spread, 0.1 to 100 %.')
  if (text.each.trim() !== '' && !(each !== null && each > 0 && each <= 1440))
    return refused('Minutes of one batch: a number above 0, or empty.')
  if (confidence === null || confidence < 80 || confidence > 99.9)
    return refused('Type the confidence first.')
  const common = {
    ...{ spread_percent: spread, confidence_percent: confidence },
    ...(each === null ? {} : { minutes_each: each }),
  }
  if (form.kind === 'fluid-comparison') {
    const margin = numberTyped(form.text.margin)
    if (margin === null || margin < 1 || margin > 100) return refused('Type the margin first.')
    return {
      kind: 'data',
      data: { kind: 'fluid-comparison', ...common, margin_percent: margin, groups: form.groups.length },
    }
  }
  const [prep, typical, coverage] = [form.text.prep, text.typical, form.text.coverage].map(numberTyped)
  if (!(prep != null && prep > 0)) return refused('Type the prep time first.')
  if (!(typical != null && typical > 0)) return refused('Type how long a typical batch takes.')
  if (!(coverage != null && coverage >= 50 && coverage < 100))
    return refused('Type the part of all batches first.')
  return {
    kind: 'data',
    data: { kind: 'prep-time', ...common, prep_min: prep, typical_min: typical, coverage_percent: coverage },
  }
}
