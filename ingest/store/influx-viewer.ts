import { CHANNELS, type Reading, type SeriesKey } from '../reading/reading.ts'
import { type TimeUs, timeUs } from '../units.ts'
import type { InfluxConnection } from './influx-connection.ts'
import type { DeliveryNote } from './influx-line.ts'
import { InfluxStore, quoted } from './influx-store.ts'

/** How far a viewer has followed. Begin with `BEGINNING`, or with `fromNow` for what comes from a moment on. */
export interface Cursor {
  readonly noteUs: TimeUs
  /** Notes already followed among those that are looked at again. */
  readonly followed: readonly string[]
}

export const fromNow = (nowUs: TimeUs): Cursor => ({ noteUs: nowUs, followed: [] })
export const BEGINNING: Cursor = fromNow(timeUs(0))

export interface Delivered {
  /** In order of arrival, late ones included. */
  readonly readings: readonly Reading[]
  readonly cursor: Cursor
  /**
   * What a screen must say beside anything from here: never live. Age of the newest reading delivered, s;
   * null while there is none.
   */
  readonly delayedS: number | null
}

/** Notes of one request become visible one by one: the last moments are looked at again. */
const AGAIN_US = 5e6
const NOTES_AT_ONCE = 1000

/**
 * For a viewer without the local file, which cannot ask for an order of arrival, since InfluxDB keeps none. It
 * reads the forwarder's delivery notes, then the readings they name. Only reads.
 */
export const createDeliveryViewer = (connection: InfluxConnection, site: string) => {
  const store = new InfluxStore({ connection, site })
  let newestUs: number | null = null

  const next = async (cursor: Cursor, nowUs: TimeUs): Promise<Delivered> => {
    const known = new Set(cursor.followed)
    const notes = await notesFrom(cursor.noteUs - AGAIN_US)
    const news = notes.filter((note) => !known.has(keyOf(note)))
    const readings: Reading[] = []
    for (const note of news) {
      const range = await store.range(note, note.firstUs, timeUs(note.lastUs + 1))
      // others in that span of time came with another note
      for (const r of range) if (r.seq >= note.firstSeq && r.seq <= note.lastSeq) readings.push(r)
    }
    readings.sort((a, b) => a.seq - b.seq)
    for (const { timeUs: at } of readings) newestUs = Math.max(newestUs ?? at, at)
    const noteUs = timeUs(Math.max(cursor.noteUs, ...notes.map((n) => n.arrivedUs)))
    const followed = notes.filter((n) => n.arrivedUs >= noteUs - AGAIN_US).map(keyOf)
    return {
      readings,
      cursor: { noteUs, followed },
      delayedS: newestUs === null ? null : Math.max(0, (nowUs - newestUs) / 1e6),
    }
  }

  const notesFrom = async (from: number): Promise<DeliveryNote[]> => {
    const [groups = []] = await connection.query(
      `SELECT first_us, last_us, first_seq, last_seq, "count" FROM delivery_note WHERE site = ${quoted(site)} AND time >= ${Math.max(0, from)}u GROUP BY bench, instrument, channel ORDER BY time LIMIT ${NOTES_AT_ONCE}`,
    )
    const notes = groups.flatMap(({ tags, rows }) => {
      const series = seriesOf(tags)
      if (series === undefined) return []
      return rows.map((row) => ({
        ...series,
        arrivedUs: timeUs(Number(row['time'])),
        firstUs: timeUs(Number(row['first_us'])),
        lastUs: timeUs(Number(row['last_us'])),
        firstSeq: Number(row['first_seq']),
        lastSeq: Number(row['last_seq']),
        count: Number(row['count']),
      }))
    })
    return inOneStep(
      notes,
      groups.some((g) => g.rows.length === NOTES_AT_ONCE),
    )
  }

  return { next }
}

/** LIMIT counts for each series: where one was cut, the others must not run ahead of it. */
const inOneStep = (notes: DeliveryNote[], isCut: boolean): DeliveryNote[] => {
  const ordered = notes.sort((a, b) => a.arrivedUs - b.arrivedUs)
  if (!isCut) return ordered
  const newest = new Map<string, number>()
  for (const n of ordered) newest.set(seriesKey(n), n.arrivedUs)
  const full = [...newest].filter(
    ([key]) => ordered.filter((n) => seriesKey(n) === key).length >= NOTES_AT_ONCE,
  )
  const end = Math.min(...full.map(([, at]) => at))
  return ordered.filter((n) => n.arrivedUs <= end)
}

const seriesOf = (tags: Readonly<Record<string, string>>): SeriesKey | undefined => {
  const { bench, instrument, channel } = tags as { bench?: string; instrument?: string; channel?: string }
  const known = CHANNELS.find((c) => c === channel)
  return bench && instrument && known ? { bench, instrument, channel: known } : undefined
}

const seriesKey = ({ bench, instrument, channel }: SeriesKey): string =>
  JSON.stringify([bench, instrument, channel])

const keyOf = (note: DeliveryNote): string => `${note.arrivedUs} ${seriesKey(note)}`
