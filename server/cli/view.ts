import { readIngestConfig } from '../../ingest/config.ts'
import type { InfluxTarget } from '../../ingest/config-influx.ts'
import { seriesOf } from '../../ingest/daemon.ts'
import { readInfluxSecrets } from '../../ingest/influx-secrets.ts'
import { createLog } from '../../ingest/log.ts'
import { connectInflux } from '../../ingest/store/influx-connection.ts'
import { readServerConfig, type Surroundings } from '../config.ts'
import { messageOf, ServerError } from '../errors.ts'
import { programVersion } from '../home-files.ts'
import { runViewer } from '../viewer/main.ts'

/** The wiring file is a copy of the one at the benches: it names site, benches, instruments and the place. */
export const startViewer = async (surroundings: Surroundings): Promise<void> => {
  const { home } = surroundings
  const ingest = readIngestConfig(home)
  const { influx, influxRecord } = ingest
  if (influx === null)
    throw new ServerError('bad-request', 'there is nothing to view: store.influx is not set', {
      fix: 'copy spargewatch.yaml from the machine at the benches (see README, InfluxDB)',
    })
  const log = createLog('viewer')
  const connect = (target: InfluxTarget) => connectInflux(target, readInfluxSecrets(target))
  const address = await runViewer(
    {
      config: readServerConfig(home),
      version: programVersion(),
      series: seriesOf(ingest),
      readings: connect(influx),
      record: influxRecord === null ? null : connect(influxRecord),
      proved: influx.version === 1,
      onUnexpected: (error) => log.error({ why: messageOf(error) }, 'trouble'),
    },
    surroundings,
  )
  process.send?.({ kind: 'started', part: 'viewer', address })
  process.stderr.write(`\n  Spargewatch, viewing ${influx.url} (read only, delayed): ${address}\n\n`)
}
