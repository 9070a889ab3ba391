import { IngestError } from '../errors.ts'
import {
  type Channel,
  type NewReading,
  type Reading,
  type SeriesKey,
  seriesName,
} from '../reading/reading.ts'
import { type TimeUs, timeUs } from '../units.ts'
import type { InfluxConnection, RowGroup } from './influx-connection.ts'
import { lineOf, NOT_WRITABLE, readingOfRow } from './influx-line.ts'
import { type AppendResult, type EnvelopePoint, GOOD_FOR_ENVELOPE, type ReadingStore } from './store.ts'

export interface InfluxStoreOptions {
  readonly connection: InfluxConnection
  readonly site: string
  /** Readings asked for at once; more are fetched in pages. */
  readonly page?: number
}

/** 1.x gives out portions of 10,000 rows and marks all but the last as partial. */
const PAGE = 10_000
const GOOD = `(${GOOD_FOR_ENVELOPE.map((q) => `quality = '${q}'`).join(' OR ')})`
const NOT_GOOD = GOOD_FOR_ENVELOPE.map((q) => `quality != '${q}'`).join(' AND ')
/** The server counts in ns of 64 bits: later moments than this have no number there. */
const LAST_US = 9_223_372_036_854_000

/**
 * Readings in InfluxDB, read with InfluxQL (1.x; 2.x by its DBRP mapping; 3.x).
 *
 * - The server itself merges two points of one series and time field by field. So `append` looks before it
 *   writes: one writer for each series, as the daemon is, and never two.
 * - `stored` means acknowledged by the server. `seq` goes on from the greatest one there.
 * - Times are kept to the µs. `prune` is refused: how long readings stay is the server's own retention.
 */
export class InfluxStore implements ReadingStore {
  private readonly connection: InfluxConnection
  private readonly site: string
  private readonly page: number
  private lastSeq: number | undefined

  constructor({ connection, site, page = PAGE }: InfluxStoreOptions) {
    this.connection = connection
    this.site = site
    this.page = page
  }

  async append(batch: readonly NewReading[]): Promise<AppendResult> {
    const there = await this.alreadyThere(batch)
    let seq = await this.newestSeq()
    const stored: Reading[] = []
    const conflicting: NewReading[] = []
    let repeated = 0
    for (const reading of batch) {
      const key = identity(reading)
      const found = there.get(key)
      if (found === undefined) {
        seq += 1
        stored.push({ ...reading, seq })
        there.set(key, reading)
      } else if (isSame(found, reading)) repeated += 1
      else conflicting.push(reading)
    }
    await this.put(stored)
    this.lastSeq = seq
    return { stored, repeated, conflicting }
  }

  /** Writes readings as they are, their `seq` included; resolves when the server has acknowledged them. */
  async put(readings: readonly Reading[]): Promise<void> {
    for (let i = 0; i < readings.length; i += AT_ONCE) {
      const outcome = await this.connection.write(
        readings.slice(i, i + AT_ONCE).map((r) => lineOrThrow(this.site, r)),
      )
      if (outcome.kind === 'acknowledged') continue
      const why = outcome.kind === 'refused' ? outcome.words : outcome.why
      throw new IngestError('influx-failed', `InfluxDB did not take readings: ${why}`, { kind: outcome.kind })
    }
  }

  async range(series: SeriesKey, from: TimeUs, to: TimeUs): Promise<Reading[]> {
    const found: Reading[] = []
    for (let start: number = from; start < to; ) {
      const groups = await this.ask(series, `${within(start, to)} ORDER BY time LIMIT ${this.page}`)
      const rows = groups.flatMap((group) => group.rows)
      for (const row of rows) found.push(readingOfRow(row, series))
      if (rows.length < this.page && !groups.some((group) => group.isPartial)) break
      // times are unique within a series, so the next page begins a µs later
      start = (found.at(-1)?.timeUs ?? to) + 1
    }
    return found
  }

  /** The one with the latest time; none while there is none. */
  async newest(series: SeriesKey): Promise<Reading[]> {
    const groups = await this.ask(series, `${within(0, LAST_US)} ORDER BY time DESC LIMIT 1`)
    return groups.flatMap((group) => group.rows).map((row) => readingOfRow(row, series))
  }

  private async ask(series: SeriesKey, rest: string): Promise<RowGroup[]> {
    const [groups = []] = await this.connection.query(
      `SELECT seq, value, raw, quality, boot_id, mono_ms, moved_us FROM reading WHERE ${this.ofSeries(series)} AND ${rest}`,
    )
    return groups
  }

  async envelope(series: SeriesKey, from: TimeUs, to: TimeUs, points: number): Promise<EnvelopePoint[]> {
    if (to <= from) return []
    const width = Math.max(1, Math.ceil((to - from) / Math.max(1, Math.floor(points))))
    const which = `FROM reading WHERE ${this.ofSeries(series)} AND ${within(from, to)}`
    const columns = `GROUP BY time(${width}u, ${from % width}u) fill(none)`
    const [good = [], rest = []] = await this.connection.query(
      `SELECT min(value) AS least, max(value) AS greatest, mean(value) AS average, count(value) AS n ${which} AND ${GOOD} ${columns}; ` +
        `SELECT count(seq) AS n ${which} AND ${NOT_GOOD} ${columns}`,
    )
    if ([...good, ...rest].some((group) => group.isPartial))
      throw new IngestError('influx-failed', `${points} columns are more than the server gives out at once`)
    const found = new Map<number, EnvelopePoint>()
    for (const row of good.flatMap((g) => g.rows))
      found.set(Number(row['time']), {
        timeUs: timeUs(Number(row['time'])),
        min: Number(row['least']),
        max: Number(row['greatest']),
        mean: Number(row['average']),
        count: Number(row['n']),
        notGood: 0,
      })
    for (const row of rest.flatMap((g) => g.rows)) {
      const at = Number(row['time'])
      found.set(at, { ...(found.get(at) ?? emptyColumn(at)), notGood: Number(row['n']) })
    }
    return [...found.values()].sort((a, b) => a.timeUs - b.timeUs)
  }

  async prune(_before: TimeUs): Promise<number> {
    throw new IngestError(
      'influx-failed',
      'InfluxDB removes old readings by its own retention, set up on the server: see README',
    )
  }

  async close(): Promise<void> {}

  private async newestSeq(): Promise<number> {
    if (this.lastSeq !== undefined) return this.lastSeq
    const [groups = []] = await this.connection.query(
      `SELECT max(seq) AS newest FROM reading WHERE site = ${quoted(this.site)}`,
    )
    return Number(groups[0]?.rows[0]?.['newest'] ?? 0)
  }

  private async alreadyThere(batch: readonly NewReading[]): Promise<Map<string, NewReading>> {
    const spans = new Map<string, { series: SeriesKey; from: number; to: number }>()
    for (const { series, timeUs: at } of batch) {
      const so = spans.get(seriesName(series)) ?? { series, from: at, to: at }
      spans.set(seriesName(series), { series, from: Math.min(so.from, at), to: Math.max(so.to, at) })
    }
    const there = new Map<string, NewReading>()
    for (const { series, from, to } of spans.values())
      for (const reading of await this.range(series, timeUs(from), timeUs(to + 1)))
        there.set(identity(reading), reading)
    return there
  }

  private ofSeries({ bench, instrument, channel }: SeriesKey): string {
    return `site = ${quoted(this.site)} AND bench = ${quoted(bench)} AND instrument = ${quoted(instrument)} AND channel = ${quoted(channel satisfies Channel)}`
  }
}

const AT_ONCE = 5000

const lineOrThrow = (site: string, reading: Reading): string => {
  const line = lineOf(site, reading)
  if (line === null)
    throw new IngestError(
      'influx-failed',
      `${seriesName(reading.series)} at ${reading.timeUs} µs is ${NOT_WRITABLE}`,
    )
  return line
}

const within = (from: number, to: number): string =>
  `time >= ${Math.min(from, LAST_US)}u AND time < ${Math.min(to, LAST_US)}u`

/** InfluxQL string literal. */
export const quoted = (text: string): string =>
  `'${text.replaceAll('\\', '\\\\').replaceAll("'", "\\'").replaceAll('\n', '\\n')}'`

const identity = (r: NewReading): string => `${seriesName(r.series)} ${r.timeUs}`

const isSame = (a: NewReading, b: NewReading): boolean =>
  a.raw === b.raw && a.value === b.value && a.quality === b.quality

const emptyColumn = (at: number): EnvelopePoint => ({
  timeUs: timeUs(at),
  min: null,
  max: null,
  mean: null,
  count: 0,
  notGood: 0,
})
