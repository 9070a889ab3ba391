import type { TrialCurves, TrialResult, TrialView } from '../../wire.ts'
import { NOT_A_DEVICE } from '../../wording/cautions.ts'
import { decimal } from '../../wording/format.ts'
import type { SiteClock } from '../../wording/site-clock.ts'
import {
  boundWords,
  measuresShown,
  planFacts,
  pWords,
  questionWords,
  spreadWords,
  standingWords,
  TRIAL_ANSWER,
  TRIAL_KIND,
} from '../../wording/trial-words.ts'
import { facts, heading, paragraph, timeline } from './blocks.ts'
import { type Doc, MARGIN, type Paper, printed, widthOf } from './paper.ts'
import { drawControl, drawPoints } from './trial-chart.ts'
import { drawCurves, drawResiduals, lineWords } from './trial-curves-chart.ts'
import { instruments, limits, method, order, reproduce, signOff, volumes } from './trial-parts.ts'

export interface TrialPrint {
  readonly trial: TrialView
  readonly curves: TrialCurves
  readonly clock: SiteClock
  readonly site: string
  readonly paper: Paper
  /** ISO, when it is printed. */
  readonly at: string
}

/** A trial as a PDF document: the answer first, then all that a reviewer needs to doubt it. */
export const printTrial = ({ trial, curves, clock, site, paper, at }: TrialPrint): Promise<Buffer> =>
  printed(
    paper,
    {
      title: `Trial: ${trial.title}`,
      head: `Spargewatch · ${site} · trial`,
      foot: `Ledger: ${trial.ledger_entries} entries, head ${trial.ledger_head}. Printed ${clock.full(at)} (${clock.zone}). ${NOT_A_DEVICE}`,
      simulated: trial.simulated,
    },
    (doc) => {
      answer(doc, trial, clock)
      heading(doc, 'Plan')
      facts(doc, planFacts(trial))
      changes(doc, trial, clock)
      found(doc, trial)
      volumes(doc, trial)
      instruments(doc, trial, clock)
      batches(doc, trial)
      charts(doc, trial, curves)
      order(doc, trial)
      method(doc, trial)
      limits(doc, trial)
      reproduce(doc, trial)
      signOff(doc)
    },
  )

const answer = (doc: Doc, trial: TrialView, clock: SiteClock): void => {
  const { result, with_excluded: all, closed } = trial
  doc.font('bold').fontSize(17).fillColor('black')
  doc.text(trial.title, MARGIN, doc.y, { width: widthOf(doc) })
  paragraph(doc, `${TRIAL_KIND[trial.kind]} · planned ${clock.full(trial.planned.at)} by ${trial.planned.by}`)
  paragraph(doc, questionWords(trial), 9)
  heading(doc, TRIAL_ANSWER[result.answer])
  paragraph(doc, result.sentence, 10)
  for (const what of trial.to_do) paragraph(doc, `To do: ${what}`)
  if (all) paragraph(doc, `With the batches that were left out: ${TRIAL_ANSWER[all.answer]}. ${all.sentence}`)
  for (const caution of result.cautions) paragraph(doc, `· ${caution}`)
  paragraph(
    doc,
    closed
      ? `Closed ${clock.full(closed.at)} by ${closed.by} with: ${TRIAL_ANSWER[closed.answer]}. ${closed.sentence}`
      : 'Not closed: the answer may change with further batches.',
  )
}

const changes = (doc: Doc, trial: TrialView, clock: SiteClock): void => {
  if (trial.changes.length === 0) return
  heading(doc, 'Changes of the plan')
  timeline(
    doc,
    trial.changes.map((c) => [
      clock.full(c.at),
      `${c.changed.join('; ')} · ${c.by}, with ${c.batches_then} batches there${c.why === null ? '' : `; why: ${c.why}`}`,
    ]),
  )
}

const found = (doc: Doc, trial: TrialView): void => {
  const { detail } = trial.result
  heading(doc, 'Found')
  for (const { name, unit, spread, bound } of measuresShown(trial))
    paragraph(
      doc,
      `${name}: ${spreadWords(spread, unit)}${bound ? `. Tolerance bound: ${boundWords(bound, unit)}` : ''}`,
    )
  if (detail.kind === 'fluid-comparison') pairs(doc, detail)
  else prepared(doc, detail)
}

const prepared = (doc: Doc, detail: Extract<TrialResult['detail'], { kind: 'prep-time' }>): void => {
  for (const { met, text } of detail.criteria)
    paragraph(doc, `${met === null ? 'Cannot tell' : met ? 'Met' : 'Not met'}: ${text}`)
  if (detail.recommended_text) paragraph(doc, `Recommended: ${detail.recommended_text}`, 9)
  for (const { what, text } of detail.beside) paragraph(doc, `${what} (decides nothing): ${text}`)
  if (detail.costs.length > 0) heading(doc, 'What more confidence costs, with the spread seen')
  facts(
    doc,
    detail.costs.map((c) => [
      `${c.confidence_percent} %, ${c.batches} batches`,
      `${decimal(c.minutes, 2)} min`,
    ]),
  )
  if (detail.revalidate_now.length > 0)
    paragraph(doc, `To be proven again: ${detail.revalidate_now.join('; ')}.`, 9)
  heading(doc, 'Prove it again after (common practice, no source)')
  paragraph(doc, `${detail.revalidate.join('; ')}.`)
}

const pairs = (doc: Doc, detail: Extract<TrialResult['detail'], { kind: 'fluid-comparison' }>): void => {
  for (const pair of detail.pairs) {
    paragraph(doc, pair.sentence, 9)
    if (pair.p !== null && pair.equivalence_p !== null)
      paragraph(
        doc,
        `p ${pWords(pair.p)} (Welch on logarithms, Holm over all pairs), p for equivalence ${pWords(pair.equivalence_p)}`,
      )
    for (const warning of pair.warnings) paragraph(doc, `· ${warning}`)
  }
  if (detail.batches_needed !== null)
    paragraph(
      doc,
      `With the spread seen, ${detail.batches_needed} batches of each find a difference as large as the margin 8 times in 10.`,
    )
}

const batches = (doc: Doc, trial: TrialView): void => {
  heading(doc, 'Batches')
  timeline(
    doc,
    trial.members.map((b) => {
      const values = [
        ...(b.temperature_c === null ? [] : [`${decimal(b.temperature_c, 1)} °C`]),
        ...(b.minutes ? [`${decimal(b.minutes.value, 2)} min`] : []),
        ...(b.potency_off_mg_l ? [`${decimal(b.potency_off_mg_l.value, 1)} µg/mL at ozone-off`] : []),
        ...(b.potency_after_mg_l ? [`${decimal(b.potency_after_mg_l.value, 1)} after the purge`] : []),
        ...(b.plateau_normal_mg_l ? [`levels off at ${decimal(b.plateau_normal_mg_l.value, 1)} µg/mL`] : []),
        ...(b.half_life_20c_min ? [`half-life ${decimal(b.half_life_20c_min.value, 1)} min`] : []),
      ]
      const lot = b.lot === null ? '' : `lot ${b.lot}, `
      return [
        b.number,
        `${b.group === null ? '' : `${b.group}: `}${lot}${values.join(', ')} · ${standingWords(b)}`,
      ]
    }),
  )
}

const charts = (doc: Doc, trial: TrialView, curves: TrialCurves): void => {
  heading(doc, 'Each batch beside the group')
  paragraph(
    doc,
    'Upright: 95 % interval of one batch. Full circle: counts; empty: does not. Band: 95 % interval of the mean. Dashed: tolerance bound.',
    7,
  )
  for (const measure of measuresShown(trial)) drawPoints(doc, measure)
  heading(doc, 'Fitted curves, from ozone-on and from flow-off')
  paragraph(
    doc,
    `Grey: 95 % band of each curve; points: readings it rests on, thinned. Thin: does not count.${lineWords(curves)}`,
    7,
  )
  drawCurves(doc, curves, 'rise')
  drawCurves(doc, curves, 'decay')
  heading(doc, 'Residuals: reading less fit, µg/mL (left the rise, right the decay)')
  drawResiduals(doc, curves)
  heading(doc, 'Control charts (individuals; limits from the mean moving range)')
  for (const chart of trial.result.charts) {
    drawControl(doc, chart)
    paragraph(doc, chart.outside.length === 0 ? 'None outside.' : `Outside: ${chart.outside.join(', ')}.`, 7)
  }
}
