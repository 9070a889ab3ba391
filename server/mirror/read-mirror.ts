import type { InfluxConnection } from '../../ingest/store/influx-connection.ts'
import { quoted } from '../../ingest/store/influx-store.ts'
import { ServerError } from '../errors.ts'
import type { Entry } from '../ledger/entry.ts'
import { entryOfRow } from './entry-line.ts'

const PAGE = 5000

/** Every entry of a site in the mirror, in order of the record. Reads only. */
export const readMirror = async (connection: InfluxConnection, site: string): Promise<Entry[]> => {
  const entries: Entry[] = []
  for (let page = PAGE; page === PAGE; ) {
    const [groups = []] = await connection.query(
      `SELECT seq, json, hash FROM entry WHERE site = ${quoted(site)} ORDER BY time LIMIT ${PAGE} OFFSET ${entries.length}`,
    )
    const rows = groups.flatMap((group) => group.rows)
    for (const row of rows) entries.push(entryOfRow(row))
    page = rows.length
  }
  entries.sort((a, b) => a.seq - b.seq)
  const twice = entries.find((entry, i) => entry.seq === entries[i - 1]?.seq)
  if (twice)
    throw new ServerError(
      'ledger-broken',
      `the mirror holds two entries ${twice.seq}: it has been given entries of two different records`,
      { fix: 'after a back-up was brought back, send the record to a new, empty place' },
    )
  return entries
}

/** The newest entries of a site by when they happened, newest first. */
export const newestInMirror = async (
  connection: InfluxConnection,
  site: string,
  limit: number,
): Promise<Entry[]> => {
  const [groups = []] = await connection.query(
    `SELECT seq, json, hash FROM entry WHERE site = ${quoted(site)} ORDER BY time DESC LIMIT ${limit}`,
  )
  return groups.flatMap((group) => group.rows).map(entryOfRow)
}
