import { systemClock } from '../clock.ts'
import { readIngestConfig } from '../config.ts'
import { IngestError } from '../errors.ts'
import { readInfluxSecrets } from '../influx-secrets.ts'
import { createLog } from '../log.ts'
import { claimHome, readingsFile } from '../store/home.ts'
import { connectInflux } from '../store/influx-connection.ts'
import { Outbox, outboxFile } from '../store/outbox.ts'
import { SqliteStore } from '../store/sqlite-store.ts'
import { createForwarder } from './forwarder.ts'
import { runSending, scaledWait } from './run-sending.ts'

/** Runs the forwarder in this process until it is told to stop or its parent is gone. */
export const runForwarder = async (home: string, waitScale: number): Promise<void> => {
  const { influx, site, simulated } = readIngestConfig(home)
  if (influx === null)
    throw new IngestError('config-invalid', `${home} has nothing to forward to: store.influx is not set`)
  const connection = connectInflux(influx, readInfluxSecrets(influx))
  const release = claimHome(home, 'forwarder')
  const kind = simulated ? 'simulated' : 'real'
  const log = createLog('forwarder')
  const clock = systemClock()
  const store = new SqliteStore({ path: readingsFile(home), kind, writes: false })
  const outbox = new Outbox(outboxFile(home), kind)
  log.info({ to: connection.name }, 'forwarding')
  const forwarder = createForwarder({
    store,
    outbox,
    connection,
    site,
    version: influx.version,
    log,
    now: () => clock.now(),
    wait: scaledWait(waitScale),
  })
  await runSending('forwarder', forwarder, () => {
    outbox.close()
    store.db.close()
    release()
  })
}
