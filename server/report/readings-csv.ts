import type { Reading } from '../../ingest/reading/reading.ts'
import { isoOf, type TimeUs } from '../../ingest/units.ts'
import { type Correction, corrected } from '../calibration/correction.ts'
import type { CalibrationInForce } from '../calibration/in-force.ts'
import { csvRow } from '../routes/csv.ts'

export interface CsvHeadline {
  readonly number: string
  readonly site: string
  readonly simulated: boolean
  /** Those in force at some time of the batch, in order of time. */
  readonly calibrations: readonly CalibrationInForce[]
  readonly correction: Correction
  readonly ledgerHead: string
  readonly ledgerEntries: number
  /** Raw readings before this may be gone. */
  readonly removedBefore?: TimeUs | undefined
}

/**
 * Readings of one batch, a row per moment: the columns of `spargewatch analyse` first, so that the file can be
 * analysed or imported again as it is. Values that are not good stay, with their quality; cells without a number are empty.
 */
export function* readingsCsv(
  head: CsvHeadline,
  potency: readonly Reading[],
  temperature: readonly Reading[],
): Generator<string> {
  const state =
    head.calibrations.length > 0
      ? head.calibrations.map((c) => `calibrated ${c.at} by ${c.data.method}`).join('; ')
      : 'uncalibrated'
  let celsiusBefore: number | undefined
  yield `# Spargewatch readings of batch ${head.number} at ${oneLine(head.site)}; times UTC; dissolved ozone ${oneLine(state)}\r\n`
  if (head.simulated) yield '# SIMULATED: every number here comes from a simulation\r\n'
  yield `# ledger ${head.ledgerEntries} entries, head ${head.ledgerHead}\r\n`
  if (head.removedBefore !== undefined)
    yield `# raw readings before ${isoOf(head.removedBefore)} were removed by the setting keep_raw_days\r\n`
  yield csvRow(['time', 'dissolved_ozone_mg_l', 'temperature_c', 'quality', 'as_sent', 'calibrated'])
  for (const [p, t] of inStep(potency, temperature)) {
    const at = (p ?? t)?.timeUs
    if (at === undefined) continue
    const usable = p && p.value !== null && (p.quality === 'good' || p.quality === 'clipped')
    const how = p ? head.correction((p.timeUs - p.movedUs) / 1000, celsiusBefore) : undefined
    if (t?.quality === 'good' && t.value !== null) celsiusBefore = t.value
    yield csvRow([
      isoOf(at),
      usable && how && p.value !== null ? Number(corrected(p.value, how).toFixed(4)) : null,
      t?.quality === 'good' ? t.value : null,
      p?.quality ?? t?.quality,
      p?.raw,
      how ? (how.kind === 'calibrated' ? 'yes' : 'no') : null,
    ])
  }
}

const oneLine = (text: string): string => text.replace(/[\r\n]+/g, ' ')

/** Pairs readings of the same moment; one without a partner stands alone. */
function* inStep(
  a: readonly Reading[],
  b: readonly Reading[],
): Generator<[Reading | undefined, Reading | undefined]> {
  let i = 0
  let j = 0
  while (i < a.length || j < b.length) {
    const left = a[i]
    const right = b[j]
    if (left && right && left.timeUs === right.timeUs) {
      yield [left, right]
      i += 1
      j += 1
    } else if (left && (!right || left.timeUs < right.timeUs)) {
      yield [left, undefined]
      i += 1
    } else {
      yield [undefined, right]
      j += 1
    }
  }
}
