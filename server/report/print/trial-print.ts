import type { TrialResult, TrialView } from '../../wire.ts'
import { NOT_A_DEVICE } from '../../wording/cautions.ts'
import { decimal } from '../../wording/format.ts'
import type { SiteClock } from '../../wording/site-clock.ts'
import {
  boundWords,
  decayAt,
  measuresShown,
  planFacts,
  pWords,
  riseAt,
  spreadWords,
  standingWords,
  TRIAL_ANSWER,
  TRIAL_KIND,
} from '../../wording/trial-words.ts'
import { facts, heading, paragraph, timeline } from './blocks.ts'
import { type Doc, MARGIN, type Paper, printed, widthOf } from './paper.ts'
import { drawControl, drawCurves, drawPoints } from './trial-chart.ts'

export interface TrialPrint {
  readonly trial: TrialView
  readonly clock: SiteClock
  readonly site: string
  readonly paper: Paper
  /** ISO, when it is printed. */
  readonly at: string
}

/** A trial as a PDF document: the answer first, then all that a reviewer needs to doubt it. */
export const printTrial = ({ trial, clock, site, paper, at }: TrialPrint): Promise<Buffer> =>
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
      batches(doc, trial)
      charts(doc, trial)
      order(doc, trial)
      method(doc, trial)
    },
  )

const answer = (doc: Doc, trial: TrialView, clock: SiteClock): void => {
  const { result, with_excluded: all, closed } = trial
  doc.font('bold').fontSize(17).fillColor('black')
  doc.text(trial.title, MARGIN, doc.y, { width: widthOf(doc) })
  paragraph(doc, `${TRIAL_KIND[trial.kind]} · planned ${clock.full(trial.planned.at)} by ${trial.planned.by}`)
  heading(doc, TRIAL_ANSWER[result.answer])
  paragraph(doc, result.sentence, 10)
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

const charts = (doc: Doc, trial: TrialView): void => {
  heading(doc, 'Each batch beside the group')
  paragraph(
    doc,
    'Upright: 95 % interval of one batch. Full circle: counts; empty: does not. Band: 95 % interval of the mean. Dashed: tolerance bound.',
    7,
  )
  for (const measure of measuresShown(trial)) drawPoints(doc, measure)
  heading(doc, 'Fitted curves, from ozone-on and from flow-off')
  drawCurves(doc, trial.members, (b) => b.rise, riseAt, 'minutes since ozone-on')
  drawCurves(doc, trial.members, (b) => b.decay, decayAt, 'minutes since flow-off')
  heading(doc, 'Control charts (individuals; limits from the mean moving range)')
  for (const chart of trial.result.charts) {
    drawControl(doc, chart)
    paragraph(doc, chart.outside.length === 0 ? 'None outside.' : `Outside: ${chart.outside.join(', ')}.`, 7)
  }
}

const order = (doc: Doc, trial: TrialView): void => {
  heading(doc, 'Run order')
  paragraph(doc, trial.run_order.map((r) => `${r.run}. day ${r.day}, ${r.what}`).join('; '), 7.5)
}

const method = (doc: Doc, { kind }: TrialView): void => {
  heading(doc, 'How it was worked out')
  paragraph(
    doc,
    kind === 'prep-time'
      ? 'Each batch is fitted by itself, C = Css − (Css − C0)·exp(−kt); its time is counted from ozone-free fluid. Tolerance bounds are one-sided on the log scale, exp(mean ± k·s) with k from the noncentral t (NIST/SEMATECH e-Handbook 7.2.6.3); the calibration’s uncertainty, which batches share, is set against them whole (1.645 standard uncertainties). Means are random-effects means by REML with each batch’s own standard error.'
      : 'Each batch is fitted by itself. Plateaus are brought to one gas value in proportion and to one temperature by published solubilities, whose disagreement widens the interval. Ratios are of geometric means with Welch’s interval on the log scale; p after Holm over all pairs; equivalence by two one-sided tests. Means are random-effects means by REML with each batch’s own standard error.',
    7.5,
  )
}
