import type { Database } from 'better-sqlite3'
import { type Channel, QUALITIES, type Quality, type SeriesKey, seriesName } from '../reading/reading.ts'
import { canonicalUnit } from '../reading/unit-conversion.ts'
import type { SeriesInfo } from './store.ts'

interface SeriesRow {
  id: number
  site: string
  bench: string
  instrument: string
  channel: Channel
  unit: string
  port: string
  full_scale: number | null
  interval_s: number
  wired: number
}

/** Small integers for names that repeat in every reading, remembered per connection. */
export const createIdTable = (db: Database) => {
  const known = new Map<string, number>()
  const boots = new Map<string, number>()
  const findSeries = db
    .prepare('SELECT id FROM series WHERE bench = ? AND instrument = ? AND channel = ?')
    .pluck()

  const find = (key: SeriesKey): number | undefined => {
    const name = seriesName(key)
    const found =
      known.get(name) ?? (findSeries.get(key.bench, key.instrument, key.channel) as number | undefined)
    if (found !== undefined) known.set(name, found)
    return found
  }

  const wire = (info: SeriesInfo): void => {
    db.prepare(
      `INSERT INTO series (site, bench, instrument, channel, unit, port, full_scale, interval_s, wired)
       VALUES (@site, @bench, @instrument, @channel, @unit, @port, @fullScale, @intervalS, @wired)
       ON CONFLICT (bench, instrument, channel) DO UPDATE SET site = excluded.site, unit = excluded.unit,
         port = excluded.port, full_scale = excluded.full_scale, interval_s = excluded.interval_s, wired = excluded.wired`,
    ).run({ ...info, wired: info.wired ? 1 : 0 })
  }

  const unwired = (key: SeriesKey): SeriesInfo => ({
    ...key,
    site: '',
    unit: canonicalUnit(key.channel),
    port: '',
    fullScale: null,
    intervalS: 1,
    wired: false,
  })

  const series = (key: SeriesKey): number => {
    const found = find(key)
    if (found !== undefined) return found
    wire(unwired(key))
    return find(key) ?? 0
  }

  const boot = (bootId: string): number => {
    const found = boots.get(bootId)
    if (found !== undefined) return found
    db.prepare('INSERT INTO boot (boot_id) VALUES (?) ON CONFLICT DO NOTHING').run(bootId)
    const id = Number(db.prepare('SELECT id FROM boot WHERE boot_id = ?').pluck().get(bootId))
    boots.set(bootId, id)
    return id
  }

  const wiring = (): SeriesInfo[] =>
    (db.prepare('SELECT * FROM series ORDER BY bench, instrument, channel').all() as SeriesRow[]).map(
      (row) => ({
        bench: row.bench,
        instrument: row.instrument,
        channel: row.channel,
        site: row.site,
        unit: row.unit,
        port: row.port,
        fullScale: row.full_scale,
        intervalS: row.interval_s,
        wired: row.wired === 1,
      }),
    )

  /** After a rolled-back transaction: what it had numbered is gone. */
  const forget = (): void => {
    known.clear()
    boots.clear()
  }

  return {
    find,
    series,
    wire,
    wiring,
    boot,
    forget,
    quality: (name: Quality): number => QUALITIES.indexOf(name),
  }
}
