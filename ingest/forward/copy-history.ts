import { createHash } from 'node:crypto'
import { IngestError } from '../errors.ts'
import { type Channel, type Reading, type SeriesKey, seriesName } from '../reading/reading.ts'
import type { InfluxConnection } from '../store/influx-connection.ts'
import { lineOf } from '../store/influx-line.ts'
import { InfluxStore } from '../store/influx-store.ts'
import type { Outbox } from '../store/outbox.ts'
import type { SqliteStore } from '../store/sqlite-store.ts'
import { type TimeUs, timeUs } from '../units.ts'
import { backOffMs } from './back-off.ts'
import { deliver, type Refused } from './deliver.ts'
import { refusedItem } from './forwarder.ts'

export interface CopyOptions {
  readonly store: Pick<SqliteStore, 'db' | 'range' | 'newestSeq'>
  readonly outbox: Pick<Outbox, 'isCopied' | 'copied' | 'forgetCopied' | 'refuse' | 'accepted'>
  readonly connection: InfluxConnection
  readonly site: string
  readonly now: () => TimeUs
  readonly wait: (ms: number) => Promise<void>
  readonly onProgress: (progress: CopyProgress) => void
}

export interface CopyProgress {
  readonly day: string
  readonly series: string
  readonly days: number
  readonly ofDays: number
  readonly compared: number
  readonly sent: number
}

/** `different`: a reading stands there at the same time with other content; it is not written over. */
export interface CopyResult {
  readonly series: number
  readonly days: number
  readonly compared: number
  readonly sent: number
  readonly refused: number
  readonly different: number
  /** Days whose count or checksum is not the same on both sides at the end. */
  readonly unequal: readonly string[]
}

const DAY_US = 86_400_000_000
const AT_ONCE = 5000
const TRIES = 6

/**
 * Brings the readings of the local file to InfluxDB that are not there, day by day of UTC and series by series, and
 * then compares count and checksum of each. A run that was broken off goes on where it stopped; a run after a
 * whole one compares everything anew. The forwarder may run meanwhile: both write the same.
 */
export const copyHistory = async (options: CopyOptions): Promise<CopyResult> => {
  const { store, outbox, connection } = options
  const upTo = store.newestSeq()
  const all = daysOf(store, upTo)
  const total = { days: 0, compared: 0, sent: 0, refused: 0, different: 0, unequal: [] as string[] }
  for (const day of all) {
    const name = `${connection.name} ${seriesName(day.series)}`
    const local = await readingsOf(store, day, upTo)
    const checksum = checksumOf(local)
    if (!outbox.isCopied(name, day.day, local.length, checksum)) {
      const done = await copyDay(options, day, local)
      total.sent += done.sent
      total.refused += done.refused
      total.different += done.different
      if (done.checksum === checksum) outbox.copied(name, day.day, local.length, checksum)
      else total.unequal.push(`${dateOf(day.day)} ${seriesName(day.series)}`)
    }
    total.days += 1
    total.compared += local.length
    options.onProgress({
      day: dateOf(day.day),
      series: seriesName(day.series),
      days: total.days,
      ofDays: all.length,
      compared: total.compared,
      sent: total.sent,
    })
  }
  outbox.forgetCopied()
  return { series: new Set(all.map((d) => seriesName(d.series))).size, ...total }
}

interface Day {
  readonly series: SeriesKey
  /** Days since 1970 in UTC. */
  readonly day: number
}

const daysOf = ({ db }: CopyOptions['store'], upTo: number): Day[] => {
  const rows = db
    .prepare(
      `SELECT s.bench, s.instrument, s.channel, r.time_us / ${DAY_US} AS day
       FROM reading r JOIN series s ON s.id = r.series WHERE r.seq <= ? GROUP BY r.series, day ORDER BY day, r.series`,
    )
    .all(upTo) as { bench: string; instrument: string; channel: Channel; day: number }[]
  return rows.map(({ day, ...series }) => ({ series, day }))
}

const spanOf = ({ day }: Day): [TimeUs, TimeUs] => [timeUs(day * DAY_US), timeUs((day + 1) * DAY_US)]

const readingsOf = async (store: CopyOptions['store'], day: Day, upTo: number): Promise<Reading[]> =>
  (await store.range(day.series, ...spanOf(day))).filter((r) => r.seq <= upTo)

const copyDay = async (options: CopyOptions, day: Day, local: readonly Reading[]) => {
  const { connection, outbox, site, now } = options
  const elsewhere = new InfluxStore({ connection, site })
  const there = async () => {
    const found = await patiently(options, () => elsewhere.range(day.series, ...spanOf(day)))
    return new Map(found.map((r) => [r.timeUs, r]))
  }
  let found = await there()
  const missing = local.filter((r) => !found.has(r.timeUs))
  const refused: Refused<Reading>[] = []
  for (let i = 0; i < missing.length; i += AT_ONCE)
    refused.push(...(await send(options, missing.slice(i, i + AT_ONCE))))
  if (missing.length > 0) found = await there()
  if (refused.length > 0) outbox.refuse(refused.map(refusedItem), now())
  outbox.accepted(local.flatMap((r) => (found.has(r.timeUs) ? [r.seq] : [])))
  const both = local.flatMap((r) => found.get(r.timeUs) ?? [])
  return {
    sent: missing.length - refused.length,
    refused: refused.length,
    different: local.filter((r) => isDifferent(r, found.get(r.timeUs))).length,
    checksum: checksumOf(both),
  }
}

const isDifferent = (local: Reading, there: Reading | undefined): boolean =>
  there !== undefined && contentOf(local) !== contentOf(there)

const send = async (options: CopyOptions, batch: readonly Reading[]): Promise<readonly Refused<Reading>[]> =>
  patiently(options, async () => {
    const done = await deliver(batch, {
      write: (lines) => options.connection.write(lines),
      lineOf: (reading) => lineOf(options.site, reading),
    })
    if (done.kind === 'done') return done.refused
    throw new IngestError('influx-failed', `InfluxDB does not take readings: ${done.outcome.why}`)
  })

const patiently = async <T>({ wait }: CopyOptions, work: () => Promise<T>): Promise<T> => {
  for (let failures = 1; ; failures++) {
    try {
      return await work()
    } catch (error) {
      if (failures === TRIES) throw error
      await wait(backOffMs(failures, 0, Math.random()))
    }
  }
}

/** All of a reading but its number: that one is given out anew when a back-up is brought back. */
const contentOf = (r: Reading): string =>
  JSON.stringify([r.timeUs, r.raw, r.value, r.quality, r.bootId, r.monoMs, r.movedUs])

/** SHA-256 over count and content, in order of time. */
export const checksumOf = (readings: readonly Reading[]): string => {
  const hash = createHash('sha256').update(`${readings.length}\n`)
  for (const reading of readings) hash.update(`${contentOf(reading)}\n`)
  return hash.digest('hex')
}

const dateOf = (day: number): string => new Date((day * DAY_US) / 1000).toISOString().slice(0, 10)
