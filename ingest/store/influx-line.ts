import { Point } from '@influxdata/influxdb-client'
import { QUALITIES, type Quality, type Reading, type SeriesKey } from '../reading/reading.ts'
import type { TimeUs } from '../units.ts'
import type { Row } from './influx-connection.ts'

/**
 * A reading as a point, open to other tools. Measurement `reading`; tags `site`, `bench`, `instrument`, `channel`;
 * fields `value` (canonical unit; left out when there is no number), `raw`, `quality`, `seq` and, so that the
 * reading comes back whole, `boot_id`, `mono_ms`, `moved_us`. `value` and `raw` are always floats: the server
 * settles a field's type by the first point and refuses the other ever after.
 */
export const lineOf = (site: string, reading: Reading): string | null => {
  const { series, value, raw } = reading
  if (!isWritable(value) || !isWritable(raw)) return null
  const point = new Point('reading')
    .tag('site', site)
    .tag('bench', series.bench)
    .tag('instrument', series.instrument)
    .tag('channel', series.channel)
    .stringField('quality', reading.quality)
    .intField('seq', reading.seq)
    .stringField('boot_id', reading.bootId)
    .floatField('mono_ms', reading.monoMs)
    .intField('moved_us', reading.movedUs)
    .timestamp(String(reading.timeUs))
  if (value !== null) point.floatField('value', value)
  if (raw !== null) point.floatField('raw', raw)
  return point.toLineProtocol() ?? null
}

export const NOT_WRITABLE = 'not a finite number: InfluxDB has no way to hold it'

const isWritable = (number: number | null): boolean => number === null || Number.isFinite(number)

export const readingOfRow = (row: Row, series: SeriesKey): Reading => ({
  series: { bench: series.bench, instrument: series.instrument, channel: series.channel },
  seq: Number(row['seq']),
  timeUs: Number(row['time']) as TimeUs,
  bootId: String(row['boot_id'] ?? ''),
  monoMs: Number(row['mono_ms']),
  raw: numberOrNull(row['raw']),
  value: numberOrNull(row['value']),
  quality: qualityOf(row['quality']),
  movedUs: Number(row['moved_us']),
})

const numberOrNull = (cell: Row[string] | undefined): number | null =>
  typeof cell === 'number' ? cell : null

/** A word this program does not know is no reason to call a reading good. */
const qualityOf = (cell: Row[string] | undefined): Quality => QUALITIES.find((q) => q === cell) ?? 'fault'

/** One acknowledged batch of one series, told to viewers that have no local file. */
export interface DeliveryNote extends SeriesKey {
  readonly arrivedUs: TimeUs
  readonly firstUs: TimeUs
  readonly lastUs: TimeUs
  readonly firstSeq: number
  readonly lastSeq: number
  readonly count: number
}

export const noteLine = (site: string, note: DeliveryNote): string =>
  new Point('delivery_note')
    .tag('site', site)
    .tag('bench', note.bench)
    .tag('instrument', note.instrument)
    .tag('channel', note.channel)
    .intField('first_us', note.firstUs)
    .intField('last_us', note.lastUs)
    .intField('first_seq', note.firstSeq)
    .intField('last_seq', note.lastSeq)
    .intField('count', note.count)
    .timestamp(String(note.arrivedUs))
    .toLineProtocol() ?? ''

/** One note for each series of a batch. */
export const notesOf = (readings: readonly Reading[], arrivedUs: TimeUs): DeliveryNote[] => {
  const notes = new Map<string, DeliveryNote>()
  for (const { series, timeUs, seq } of readings) {
    const key = JSON.stringify([series.bench, series.instrument, series.channel])
    const { bench, instrument, channel } = series
    const so = notes.get(key)
    notes.set(key, {
      bench,
      instrument,
      channel,
      arrivedUs,
      firstUs: so === undefined || timeUs < so.firstUs ? timeUs : so.firstUs,
      lastUs: so === undefined || timeUs > so.lastUs ? timeUs : so.lastUs,
      firstSeq: Math.min(so?.firstSeq ?? seq, seq),
      lastSeq: Math.max(so?.lastSeq ?? seq, seq),
      count: (so?.count ?? 0) + 1,
    })
  }
  return [...notes.values()]
}
