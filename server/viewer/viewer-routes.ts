import { z } from 'zod'
import { CHANNELS, type Channel, seriesName } from '../../ingest/reading/reading.ts'
import type { InfluxConnection } from '../../ingest/store/influx-connection.ts'
import { InfluxStore } from '../../ingest/store/influx-store.ts'
import type { SeriesInfo } from '../../ingest/store/store.ts'
import { isoOf, timeUs } from '../../ingest/units.ts'
import type { ServerConfig } from '../config.ts'
import { ServerError } from '../errors.ts'
import { entrySchema } from '../ledger/entry.ts'
import { newestInMirror } from '../mirror/read-mirror.ts'
import type { Route } from '../routes/route.ts'
import { readingsAnswer } from '../wire/chart-schema.ts'
import { viewed } from '../wire/viewer-schema.ts'
import type { ReadingsAnswer, Viewed } from '../wire.ts'
import type { Followed } from './follow-deliveries.ts'

export interface ViewerParts {
  readonly config: ServerConfig
  readonly version: string
  readonly series: readonly SeriesInfo[]
  readonly readings: InfluxConnection
  /** Where entries of the record are; null: they are not mirrored. */
  readonly record: InfluxConnection | null
  readonly proved: boolean
  readonly followed: () => Followed
  readonly nowMs: () => number
}

const readingsQuery = z.object({
  bench: z.string().min(1).max(40),
  channel: z.enum(CHANNELS),
  from: z.iso.datetime(),
  to: z.iso.datetime(),
  points: z.coerce.number().int().min(1).max(2000).default(1000),
})
const entriesQuery = z.object({ limit: z.coerce.number().int().min(1).max(1000).default(100) })

export const viewerRoutes = (parts: ViewerParts): Route[] => [
  {
    method: 'get',
    path: '/api/viewed',
    summary: 'Every bench as InfluxDB knows it, with the age of each value; never live',
    answer: viewed,
    handle: () => viewedNow(parts),
  },
  {
    method: 'get',
    path: '/api/readings',
    summary: 'Readings of one channel from InfluxDB, not calibrated',
    query: readingsQuery,
    answer: readingsAnswer,
    handle: ({ query }) => readings(query as z.infer<typeof readingsQuery>, parts),
  },
  {
    method: 'get',
    path: '/api/entries',
    summary: 'Newest entries of the record, where it is mirrored',
    query: entriesQuery,
    answer: z.object({ entries: z.array(entrySchema) }),
    handle: async ({ query }) => ({
      entries:
        parts.record === null
          ? []
          : await newestInMirror(parts.record, parts.config.site, Number(query['limit'])).catch(unreachable),
    }),
  },
]

/** A reading cannot be younger than now: further ahead than this, one of the two clocks is wrong. */
const CLOCKS_APART_S = 2

const viewedNow = (parts: ViewerParts): Viewed => {
  const { config, version, series, readings: connection, record, proved } = parts
  const { newest, delivered, trouble } = parts.followed()
  const nowMs = parts.nowMs()
  const ageOf = (us: number) => Math.max(0, nowMs - us / 1000) / 1000
  const times = [...newest.values()].map((r) => r.timeUs)
  const aheadS = (Math.max(0, ...times) / 1000 - nowMs) / 1000
  return {
    at: new Date(nowMs).toISOString(),
    version,
    site: { name: config.site, zone: config.zone, simulated: config.simulated },
    place: connection.name,
    proved,
    delayed_s: times.length === 0 ? null : ageOf(Math.max(...times)),
    clock_behind_s: aheadS > CLOCKS_APART_S ? aheadS : null,
    trouble,
    delivered,
    record_mirrored: record !== null,
    benches: config.benches.map(({ id, name, simulated }) => ({
      bench: id,
      name,
      simulated,
      channels: series.flatMap((s) => {
        const reading = s.bench === id ? newest.get(seriesName(s)) : undefined
        if (reading === undefined) return []
        return [
          {
            channel: s.channel,
            instrument: s.instrument,
            unit: s.unit,
            value: reading.value,
            quality: reading.quality,
            at: isoOf(reading.timeUs),
            age_s: ageOf(reading.timeUs),
          },
        ]
      }),
    })),
  }
}

const readings = async (
  { bench, channel, from, to, points }: z.infer<typeof readingsQuery>,
  { series, readings: connection, config }: ViewerParts,
): Promise<ReadingsAnswer> => {
  const [fromUs, toUs] = [timeUs(Date.parse(from) * 1000), timeUs(Date.parse(to) * 1000)]
  if (toUs <= fromUs)
    throw new ServerError('bad-request', `query.to needs to be after query.from, got ${from} to ${to}`)
  const one = seriesAt(series, bench, channel)
  const store = new InfluxStore({ connection, site: config.site })
  const columns = await store.envelope(one, fromUs, toUs, points).catch(unreachable)
  return {
    bench,
    channel,
    unit: one.unit,
    from,
    to,
    calibrated: false,
    points: columns.map((c) => ({
      time_us: c.timeUs,
      min: c.min,
      max: c.max,
      mean: c.mean,
      count: c.count,
      not_good: c.notGood,
    })),
  }
}

const seriesAt = (series: readonly SeriesInfo[], bench: string, channel: Channel): SeriesInfo => {
  const found = series.find((s) => s.bench === bench && s.channel === channel)
  if (found) return found
  throw new ServerError('not-found', `${channel} at bench ${bench} is not in the wiring`)
}

const unreachable = (error: unknown): never => {
  throw new ServerError('not-available', error instanceof Error ? error.message : String(error), {
    fix: 'see that InfluxDB runs and lets this program read',
  })
}
