import type { BatchRecord } from '../../wire.ts'
import { estimateIn } from '../../wording/estimates.ts'
import { decimal } from '../../wording/format.ts'
import type { SiteClock } from '../../wording/site-clock.ts'
import { AGAINST, ANSWER, FIT } from '../../wording/words.ts'
import { type FactPair, facts, heading, paragraph } from './blocks.ts'
import type { Doc } from './paper.ts'

/** Each fit with its numbers and intervals. */
export const fits = (doc: Doc, record: BatchRecord, clock: SiteClock): void => {
  heading(doc, 'Fits')
  if (record.fits.length === 0) paragraph(doc, 'No fit.')
  for (const fit of record.fits) {
    paragraph(doc, `${FIT[fit.kind]}, ${clock.full(fit.start)} to ${clock.full(fit.end)}: ${fit.status}`, 9)
    const numbers: FactPair[] = [
      ['Levels off at', estimateIn(fit.plateau_mg_l, 2, 'µg/mL')],
      ['Apparent rate', estimateIn(fit.rate_per_min, 4, 'per min')],
      ['t95', estimateIn(fit.t95_min, 2, 'min')],
      ['Half-life', estimateIn(fit.half_life_min, 2, 'min')],
      ['Half-life at 20 °C', estimateIn(fit.half_life_20c_min, 2, 'min')],
      ['Lost', estimateIn(fit.lost_percent, 1, '%')],
    ]
    facts(doc, [
      ...numbers.filter(([, value]) => value !== 'not found'),
      [
        'Scatter',
        fit.residual_sd_mg_l === null ? 'not known' : `${decimal(fit.residual_sd_mg_l, 2)} µg/mL (1 s)`,
      ],
      [
        'Readings',
        `${fit.n}${fit.n_eff === null ? '' : `, worth ${Math.round(fit.n_eff)} independent ones`}`,
      ],
    ])
    for (const note of fit.notes) paragraph(doc, `· ${note}`, 8)
  }
}

/** What the fits were held against. */
export const verdicts = (doc: Doc, record: BatchRecord): void => {
  if (record.verdicts.length > 0) heading(doc, 'Beside physics, this clinic and rules of thumb')
  for (const verdict of record.verdicts)
    paragraph(doc, `${AGAINST[verdict.against]}: ${ANSWER[verdict.answer]}. ${verdict.text}`, 8)
  for (const note of record.notes) paragraph(doc, `· ${note}`, 8)
}

/** For how long nothing was read. */
export const gaps = (doc: Doc, record: BatchRecord, clock: SiteClock): void => {
  heading(doc, 'Gaps in the readings')
  if (record.gaps.length === 0) paragraph(doc, 'None.')
  for (const gap of record.gaps) paragraph(doc, `${clock.full(gap.from)} to ${clock.full(gap.to)}`, 8)
}
