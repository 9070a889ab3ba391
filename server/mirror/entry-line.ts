import { Point } from '@influxdata/influxdb-client'
import type { Row } from '../../ingest/store/influx-connection.ts'
import type { Entry } from '../ledger/entry.ts'
import { hashedText } from '../ledger/hash-chain.ts'

/**
 * An entry of the record as a point. Measurement `entry`; tags `site` and `entry`, its id, so that two entries of one
 * moment stay two; time: when it happened. Fields `seq`, `kind`, `bench` and `batch` (left out where there is none), `who`,
 * `entered_at`, `json` (the canonical text that is hashed, with the hash before it) and `hash`, of that text.
 */
export const entryLine = (site: string, entry: Entry): string => {
  const point = new Point('entry')
    .tag('site', site)
    .tag('entry', entry.id)
    .intField('seq', entry.seq)
    .stringField('kind', entry.kind)
    .stringField('who', entry.who.name)
    .stringField('entered_at', entry.entered_at)
    .stringField('json', hashedText(entry))
    .stringField('hash', entry.hash)
    .timestamp(String(usOf(entry)))
  if (entry.bench !== null) point.stringField('bench', entry.bench)
  if (entry.batch !== null) point.stringField('batch', entry.batch)
  return point.toLineProtocol() ?? ''
}

/** When it happened, µs. */
export const usOf = (entry: Pick<Entry, 'happened_at'>): number => Date.parse(entry.happened_at) * 1000

/** As it stood in the record: `verifyChain` says whether anything in it was changed. */
export const entryOfRow = (row: Row): Entry =>
  ({ ...(JSON.parse(String(row['json'])) as object), hash: String(row['hash']) }) as Entry
