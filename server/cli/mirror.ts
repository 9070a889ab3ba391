import { readIngestConfig } from '../../ingest/config.ts'
import { readInfluxSecrets } from '../../ingest/influx-secrets.ts'
import { createLog } from '../../ingest/log.ts'
import { connectInflux } from '../../ingest/store/influx-connection.ts'
import { readServerConfig } from '../config.ts'
import { ServerError } from '../errors.ts'
import type { Entry } from '../ledger/entry.ts'
import { runMirror } from '../mirror/main.ts'
import { readMirror } from '../mirror/read-mirror.ts'

export const startMirror = async (home: string, waitScale: number): Promise<void> => {
  const { connection, version } = placeOf(home)
  const config = readServerConfig(home)
  await runMirror({ config, connection, version, log: createLog('mirror'), waitScale })
}

/** Every entry that the mirror of this home holds. */
export const entriesOfMirror = (home: string): Promise<Entry[]> => {
  const { connection, site } = placeOf(home)
  return readMirror(connection, site)
}

const placeOf = (home: string) => {
  const { influxRecord, site } = readIngestConfig(home)
  if (influxRecord === null)
    throw new ServerError('bad-request', 'the record is not mirrored: store.influx has no place for it', {
      fix: 'set record_database, on version 2 record_bucket (see README, InfluxDB)',
    })
  const connection = connectInflux(influxRecord, readInfluxSecrets(influxRecord))
  return { connection, site, version: influxRecord.version }
}
