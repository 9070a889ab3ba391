import type { BatchRecord } from '../../wire.ts'
import { calibrationWords, notCalibratedWords, whyUncalibrated } from '../../wording/calibration-words.ts'
import { ALL_CAUTIONS, NOT_A_DEVICE } from '../../wording/cautions.ts'
import { entryHead, entryLines, entryWords } from '../../wording/entries.ts'
import { estimateIn } from '../../wording/estimates.ts'
import { band, concentration, decimal, millilitres } from '../../wording/format.ts'
import { reviewWords, whoWords } from '../../wording/people-words.ts'
import type { SiteClock } from '../../wording/site-clock.ts'
import {
  againWords,
  FLUID,
  GAS_REFERENCE,
  MEASURING_PLACE,
  PHASE,
  PURGE,
  sheetWords,
} from '../../wording/words.ts'
import { type FactPair, facts, heading, paragraph, timeline } from './blocks.ts'
import { type Column, drawChart } from './chart.ts'
import { type Doc, MARGIN, type Paper, printed, widthOf } from './paper.ts'
import { fits, gaps, verdicts } from './record-results.ts'

export interface RecordPrint {
  readonly record: BatchRecord
  readonly readings: readonly Column[]
  readonly clock: SiteClock
  readonly site: string
  readonly paper: Paper
  /** ISO, when it is printed. */
  readonly at: string
}

/** The record of one batch as a PDF document: what it came to on the first page, everything behind it after that. */
export const printRecord = ({ record, readings, clock, site, paper, at }: RecordPrint): Promise<Buffer> => {
  const { head } = record.summary
  const frame = {
    title: `Batch ${head.number}`,
    head: `Spargewatch · ${site} · record of batch ${head.number}`,
    foot: `Ledger: ${record.ledger_entries} entries, head ${record.ledger_head}. Printed ${clock.full(at)} (${clock.zone}). ${NOT_A_DEVICE}`,
    simulated: head.simulated,
  }
  return printed(paper, frame, (doc) => {
    title(doc, record, clock)
    found(doc, record)
    draws(doc, record, clock)
    drawChart(doc, { curves: record.curves, readings })
    settings(doc, record, clock)
    fits(doc, record, clock)
    verdicts(doc, record)
    gaps(doc, record, clock)
    entries(doc, record, clock)
    cautions(doc)
    workedFrom(doc, record, clock)
    signOff(doc)
  })
}

const title = (doc: Doc, { summary: { head } }: BatchRecord, clock: SiteClock): void => {
  doc.font('bold').fontSize(18).fillColor('black')
  doc.text(`Batch ${head.number}`, MARGIN, doc.y, { width: widthOf(doc) })
  const parts = [
    FLUID[head.fluid],
    head.fluid_detail,
    head.lot && `lot ${head.lot}`,
    millilitres(head.volume_ml),
  ]
  paragraph(
    doc,
    `${parts.filter(Boolean).join(' · ')} · opened ${clock.full(head.opened_at)} by ${head.opened_by}`,
  )
}

const found = (doc: Doc, record: BatchRecord): void => {
  const { summary, calibration } = record
  heading(doc, 'Found (fitted, with 95 % intervals)')
  const mark = calibration === null && summary.plateau_mg_l !== null ? ', uncalibrated' : ''
  facts(doc, [
    ['Levels off at', `${estimateIn(summary.plateau_mg_l, 1, 'µg/mL')}${mark}`],
    ['Half-life', estimateIn(summary.half_life_min, 1, 'min')],
    ['t95', estimateIn(summary.t95_min, 1, 'min')],
    ['Half-life at 20 °C', estimateIn(summary.half_life_20c_min, 1, 'min')],
    [
      'Mean temperature',
      summary.mean_temperature_c === null ? 'not measured' : `${decimal(summary.mean_temperature_c, 1)} °C`,
    ],
    [
      'Value set',
      summary.head.target_mg_l === null ? 'not set' : `${concentration(summary.head.target_mg_l)} µg/mL`,
    ],
  ])
  paragraph(
    doc,
    calibration === null
      ? whyUncalibrated(record.worked_from)
      : `Calibrated by the entry of ${calibration.at.slice(0, 10)}, ${calibration.method}. A value is only as good as that calibration.`,
  )
  if (record.readings_removed_before !== null)
    paragraph(
      doc,
      record.results_kept === null
        ? `Raw readings before ${record.readings_removed_before} were removed: what was worked out from them is missing here.`
        : `Worked out on ${record.results_kept.at}; the raw readings have been removed since.`,
    )
}

const draws = (doc: Doc, record: BatchRecord, clock: SiteClock): void => {
  const drawn = entryLines(record.entries).filter(({ entry, undone }) => entry.kind === 'drawn-up' && !undone)
  if (drawn.length === 0) return
  heading(doc, 'Drawn up (values at draw, not what is in a syringe now)')
  timeline(
    doc,
    drawn.map(({ entry }) => [clock.full(entry.happened_at), `${entryWords(entry)} · ${entry.who.name}`]),
  )
}

const NOT_RECORDED = 'not recorded'

const settings = (doc: Doc, { summary: { head } }: BatchRecord, clock: SiteClock): void => {
  const or = (value: number | null, unit: string) => (value === null ? NOT_RECORDED : `${value} ${unit}`)
  const times = (list: readonly string[]) =>
    list.length === 0 ? NOT_RECORDED : list.map(clock.full).join(', ')
  heading(doc, 'Settings')
  const pairs: FactPair[] = [
    ['Bench', head.bench],
    ['State', PHASE[head.phase.kind]],
    ['Lot', head.lot ?? NOT_RECORDED],
    ['Volume', `${millilitres(head.volume_ml)}, ${millilitres(head.left_ml)} left`],
    [
      'Gas value',
      head.gas === null
        ? NOT_RECORDED
        : `${head.gas.ug_per_ml} µg/mL ${GAS_REFERENCE[head.gas.reference] ?? head.gas.reference}`,
    ],
    ['Gas flow', or(head.flow_ml_per_min, 'mL/min')],
    ['Prep time', or(head.prep_min, 'min')],
    ['Planned temperature', or(head.temperature_c, '°C')],
    ['Age limit', or(head.age_limit_min, 'min')],
    ['Draw-up to use', or(head.lead_time_min, 'min')],
    ['Method sheet', sheetWords(head.method_sheet)],
    ['Measuring place', MEASURING_PLACE[head.measuring_place] ?? head.measuring_place],
    ['Purge', PURGE[head.purge] ?? head.purge],
    ['Bubbling again', againWords(head) ?? 'not allowed, not done'],
    ['Ozone on', times(head.ozone_on_at)],
    ['Ozone off', times(head.ozone_off_at)],
    ['Flow off', times(head.flow_off_at)],
    ['Discarded', head.discarded_at === null ? 'not yet' : clock.full(head.discarded_at)],
    ['Missing', head.missing.length === 0 ? 'nothing' : head.missing.join(', ')],
  ]
  facts(doc, pairs)
}

const entries = (doc: Doc, record: BatchRecord, clock: SiteClock): void => {
  heading(doc, 'Review')
  paragraph(doc, reviewWords(record.review, clock), 8)
  heading(doc, 'Entries')
  timeline(
    doc,
    entryLines(record.entries).flatMap(({ entry, undone, corrections, signature }) => {
      const words = entryWords(entry)
      const what = `${entryHead(entry)}${words === '' ? '' : `: ${words}`}${undone ? ' (taken back)' : ''}`
      const why = entry.why === null ? '' : `; why: ${entry.why}`
      return [
        [clock.full(entry.happened_at), `${what} · ${whoWords(entry, signature, clock)}${why}`] as const,
        ...corrections.map(
          (c) => ['', `Corrected: ${entryWords(c)} (${c.who.name}, ${clock.full(c.entered_at)})`] as const,
        ),
      ]
    }),
  )
}

const cautions = (doc: Doc): void => {
  heading(doc, 'Cautions')
  for (const { head, text } of ALL_CAUTIONS) paragraph(doc, `${head}. ${text}`, 7.5)
}

const workedFrom = (doc: Doc, record: BatchRecord, clock: SiteClock): void => {
  const from = record.worked_from
  heading(doc, 'Worked out from')
  facts(doc, [
    ['Program', `${from.program}, ${from.analysis}`],
    ['Meter', from.meter ?? 'none: values typed in'],
    ['Readings', `${from.readings}, ${from.set_aside} set aside`],
    ['Temperature readings', String(from.temperature_readings)],
    [
      'Probe response',
      from.probe_lag_s === null
        ? 'not measured'
        : `${band(from.probe_lag_s.tau - from.probe_lag_s.u, from.probe_lag_s.tau + from.probe_lag_s.u, 0) ?? ''} s`,
    ],
    ['Earlier batches used', String(from.earlier_batches)],
  ])
  paragraph(
    doc,
    `Calibration: ${from.calibrations.length === 0 ? 'none in force' : from.calibrations.map(calibrationWords(clock)).join('; ')}${notCalibratedWords(from)}`,
    8,
  )
  paragraph(doc, `Hash of the input ${from.input_sha256}`, 7.5)
  paragraph(doc, `The same numbers again: ${from.command}`, 7.5)
  paragraph(
    doc,
    `Verify this print: npx spargewatch ledger verify --anchor ${record.ledger_entries}:${record.ledger_head}`,
    7.5,
  )
}

const signOff = (doc: Doc): void => {
  heading(doc, 'Signed on paper')
  timeline(doc, [
    ['Name', '.'.repeat(80)],
    ['Date and time', '.'.repeat(80)],
    ['Meaning', '.'.repeat(80)],
  ])
}
