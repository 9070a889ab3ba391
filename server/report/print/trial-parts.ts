import type { TrialView } from '../../wire.ts'
import { decimal } from '../../wording/format.ts'
import type { SiteClock } from '../../wording/site-clock.ts'
import {
  calibrationWords,
  LIMITS,
  METHOD,
  reproduceWords,
  runWords,
} from '../../wording/trial-report-words.ts'
import { TRIAL_ANSWER } from '../../wording/trial-words.ts'
import { facts, heading, makeRoom, paragraph } from './blocks.ts'
import { type Doc, MARGIN, widthOf } from './paper.ts'
import { drawVolumes, GREY, line } from './trial-chart.ts'

/** Parts of a trial's report below its results: what it rests on, how to work it out again, and who signs. */

export const instruments = (doc: Doc, trial: TrialView, clock: SiteClock): void => {
  heading(doc, 'Instruments and their calibration')
  for (const words of calibrationWords(trial, clock)) paragraph(doc, words, 7.5)
}

/** Prep time over volume, where trials of the same setting were made with several. */
export const volumes = (doc: Doc, { over_volume: points }: TrialView): void => {
  if (points.length < 2) return
  heading(doc, 'Prep time over volume (same fluid and setting; between two volumes nothing was tried)')
  facts(
    doc,
    points.map((p) => [
      `${p.volume_ml} mL, ${p.batches} batches`,
      `typical ${decimal(p.typical_min, 1)} min, bound ${decimal(p.bound_min, 1)} min, planned ${decimal(p.prep_min, 1)} min: ${TRIAL_ANSWER[p.answer].toLowerCase()}`,
    ]),
  )
  drawVolumes(doc, points)
}

export const order = (doc: Doc, trial: TrialView): void => {
  heading(doc, 'Run order')
  paragraph(doc, trial.run_order.map(runWords).join('; '), 7.5)
}

export const method = (doc: Doc, { kind }: TrialView): void => {
  heading(doc, 'How it was worked out')
  paragraph(doc, METHOD[kind], 7.5)
}

export const limits = (doc: Doc, { kind }: TrialView): void => {
  heading(doc, 'Limits')
  paragraph(doc, LIMITS[kind], 7.5)
}

export const reproduce = (doc: Doc, trial: TrialView): void => {
  heading(doc, 'How to work it out again')
  paragraph(doc, reproduceWords(trial), 7.5)
}

const SIGNATURES = ['Carried out by', 'Reviewed by'] as const

export const signOff = (doc: Doc): void => {
  makeRoom(doc, 110)
  heading(doc, 'Sign-off')
  const width = widthOf(doc)
  for (const who of SIGNATURES) {
    const y = doc.y + 26
    line(doc, [MARGIN, y], [MARGIN + 0.62 * width, y], GREY)
    line(doc, [MARGIN + 0.68 * width, y], [MARGIN + width, y], GREY)
    doc.font('plain').fontSize(7).fillColor('black')
    doc.text(`${who} (name and signature)`, MARGIN, y + 3, { lineBreak: false })
    doc.text('Date', MARGIN + 0.68 * width, y + 3, { lineBreak: false })
    doc.x = MARGIN
    doc.y = y + 14
  }
}
