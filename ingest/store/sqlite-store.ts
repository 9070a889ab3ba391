import type { Database, Statement } from 'better-sqlite3'
import type { Channel, NewReading, Quality, Reading, SeriesKey } from '../reading/reading.ts'
import { seriesName } from '../reading/reading.ts'
import type { TimeUs } from '../units.ts'
import { createIdTable } from './id-table.ts'
import { READINGS_MIGRATIONS } from './migrations.ts'
import { type FileKind, openFile } from './open-file.ts'
import { createRetention, type Retention } from './retention.ts'
import { createRollUp, type RollUp } from './roll-up.ts'
import { createEnvelope } from './sqlite-envelope.ts'
import type { AppendResult, EnvelopePoint, ReadingStore, SeriesInfo } from './store.ts'

const ROLLED_AT_ONCE = 10_000

export interface SqliteStoreOptions {
  readonly path: string
  readonly kind: FileKind
  readonly writes: boolean
}

interface ReadingRow {
  seq: number
  time_us: number
  boot_id: string
  mono_ms: number
  raw: number | null
  value: number | null
  quality: string
  moved_us: number
}

const ROWS = `SELECT r.seq, r.time_us, b.boot_id, r.mono_ms, r.raw, r.value, q.name AS quality, r.moved_us
  FROM reading r JOIN boot b ON b.id = r.boot JOIN quality q ON q.id = r.quality`

/** Readings in the local SQLite file. The database work is synchronous; the promises are the interface's. */
export class SqliteStore implements ReadingStore {
  readonly db: Database
  readonly rollUp: RollUp
  readonly retention: Retention
  private readonly columns: ReturnType<typeof createEnvelope>
  private readonly ids: ReturnType<typeof createIdTable>
  private readonly insert: Statement
  private readonly same: Statement

  constructor(options: SqliteStoreOptions) {
    this.db = openFile({ ...options, steps: READINGS_MIGRATIONS })
    this.rollUp = createRollUp(this.db)
    this.retention = createRetention(this.db, this.rollUp)
    this.columns = createEnvelope(this.db, this.rollUp)
    this.ids = createIdTable(this.db)
    this.insert = this.db.prepare(
      `INSERT INTO reading (series, time_us, boot, mono_ms, raw, value, quality, moved_us)
       VALUES (?, ?, ?, ?, ?, ?, ?, ?) ON CONFLICT (series, time_us) DO NOTHING`,
    )
    this.same = this.db.prepare(
      'SELECT count(*) FROM reading WHERE series = ? AND time_us = ? AND raw IS ? AND value IS ? AND quality = ?',
    )
    this.same.pluck()
  }

  /** Records what the wiring says about each series; series no longer wired stay, marked so. */
  wire(series: readonly SeriesInfo[]): void {
    this.db
      .transaction(() => {
        this.db.prepare('UPDATE series SET wired = 0').run()
        for (const info of series) this.ids.wire(info)
      })
      .immediate()
  }

  /** Adds series beside the wiring (an imported file). */
  wireMore(series: readonly SeriesInfo[]): void {
    this.db
      .transaction(() => {
        for (const info of series) this.ids.wire(info)
      })
      .immediate()
  }

  wiring(): SeriesInfo[] {
    return this.ids.wiring()
  }

  /** One transaction; when it returns, `stored` is on the disk. */
  appendNow(batch: readonly NewReading[]): AppendResult {
    try {
      return this.db.transaction(() => this.insertAll(batch)).immediate()
    } catch (error) {
      this.ids.forget()
      throw error
    }
  }

  private insertAll(batch: readonly NewReading[]): AppendResult {
    const stored: Reading[] = []
    const conflicting: NewReading[] = []
    let repeated = 0
    for (const r of batch) {
      const series = this.ids.series(r.series)
      const quality = this.ids.quality(r.quality)
      const done = this.insert.run(
        series,
        r.timeUs,
        this.ids.boot(r.bootId),
        r.monoMs,
        r.raw,
        r.value,
        quality,
        r.movedUs,
      )
      if (done.changes === 1) stored.push({ ...r, seq: Number(done.lastInsertRowid) })
      else if (this.same.get(series, r.timeUs, r.raw, r.value, quality) === 1) repeated += 1
      else conflicting.push(r)
    }
    return { stored, repeated, conflicting }
  }

  async append(batch: readonly NewReading[]): Promise<AppendResult> {
    return this.appendNow(batch)
  }

  rangeNow(series: SeriesKey, from: TimeUs, to: TimeUs): Reading[] {
    const id = this.ids.find(series)
    if (id === undefined) return []
    const rows = this.db
      .prepare(`${ROWS} WHERE r.series = ? AND r.time_us >= ? AND r.time_us < ? ORDER BY r.time_us`)
      .all(id, from, to) as ReadingRow[]
    return rows.map((row) => readingOf(row, series))
  }

  async range(series: SeriesKey, from: TimeUs, to: TimeUs): Promise<Reading[]> {
    return this.rangeNow(series, from, to)
  }

  envelopeNow(series: SeriesKey, from: TimeUs, to: TimeUs, points: number): EnvelopePoint[] {
    const id = this.ids.find(series)
    return id === undefined || to <= from ? [] : this.columns(id, from, to, points)
  }

  async envelope(series: SeriesKey, from: TimeUs, to: TimeUs, points: number): Promise<EnvelopePoint[]> {
    return this.envelopeNow(series, from, to, points)
  }

  /** Raw readings of a series before this may have been removed; undefined: none ever were. */
  rawKeptFrom(series: SeriesKey): TimeUs | undefined {
    const id = this.ids.find(series)
    return id === undefined ? undefined : this.retention.keptFrom(id)
  }

  async prune(before: TimeUs): Promise<number> {
    while (this.rollUp.step(ROLLED_AT_ONCE) > 0);
    return this.retention.slice({ before, sliceUs: Number.POSITIVE_INFINITY, sparing: false })
  }

  /** Time of the newest reading of a series, for keeping times strictly increasing across restarts. */
  newestTime(series: SeriesKey): TimeUs | undefined {
    const id = this.ids.find(series)
    if (id === undefined) return undefined
    const newest = this.db.prepare('SELECT max(time_us) FROM reading WHERE series = ?').pluck().get(id)
    return newest === null ? undefined : (Number(newest) as TimeUs)
  }

  newest(series: SeriesKey): Reading | undefined {
    const id = this.ids.find(series)
    if (id === undefined) return undefined
    const row = this.db.prepare(`${ROWS} WHERE r.series = ? ORDER BY r.time_us DESC LIMIT 1`).get(id) as
      | ReadingRow
      | undefined
    return row && readingOf(row, series)
  }

  newestSeq(): number {
    return Number(this.db.prepare('SELECT coalesce(max(seq), 0) FROM reading').pluck().get())
  }

  /** Readings that arrived after `seq`, in order of arrival, late ones included. */
  after(seq: number, limit: number): Reading[] {
    const rows = this.db
      .prepare(
        `SELECT r.seq, r.time_us, b.boot_id, r.mono_ms, r.raw, r.value, q.name AS quality, r.moved_us, s.bench, s.instrument, s.channel
         FROM reading r JOIN boot b ON b.id = r.boot JOIN quality q ON q.id = r.quality JOIN series s ON s.id = r.series
         WHERE r.seq > ? ORDER BY r.seq LIMIT ?`,
      )
      .all(seq, limit) as (ReadingRow & { bench: string; instrument: string; channel: Channel })[]
    return rows.map((row) =>
      readingOf(row, { bench: row.bench, instrument: row.instrument, channel: row.channel }),
    )
  }

  async close(): Promise<void> {
    this.db.close()
  }
}

const readingOf = (row: ReadingRow, series: SeriesKey): Reading => ({
  series: { bench: series.bench, instrument: series.instrument, channel: series.channel },
  seq: row.seq,
  timeUs: row.time_us as TimeUs,
  bootId: row.boot_id,
  monoMs: row.mono_ms,
  raw: row.raw,
  value: row.value,
  quality: row.quality as Quality,
  movedUs: row.moved_us,
})

export const describeConflict = (r: NewReading): string => `${seriesName(r.series)} at ${r.timeUs} µs`
