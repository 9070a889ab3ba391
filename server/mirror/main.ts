import { runSending, scaledWait } from '../../ingest/forward/run-sending.ts'
import { claimHome } from '../../ingest/store/home.ts'
import type { InfluxConnection } from '../../ingest/store/influx-connection.ts'
import { Outbox, recordOutboxFile } from '../../ingest/store/outbox.ts'
import { timeUs } from '../../ingest/units.ts'
import type { ServerConfig } from '../config.ts'
import { ledgerFile } from '../home-files.ts'
import { Ledger } from '../ledger/ledger.ts'
import { createMirror, type MirrorOptions } from './mirror.ts'

export interface MirrorPart {
  readonly config: ServerConfig
  readonly connection: InfluxConnection
  readonly version: 1 | 2 | 3
  readonly log: MirrorOptions['log']
  readonly waitScale: number
}

/** Runs the mirror of the record in this process until it is told to stop or its parent is gone. */
export const runMirror = async ({
  config,
  connection,
  version,
  log,
  waitScale,
}: MirrorPart): Promise<void> => {
  const { home, site, simulated } = config
  const release = claimHome(home, 'mirror')
  const kind = simulated ? 'simulated' : 'real'
  const ledger = new Ledger(ledgerFile(home), kind, false)
  const outbox = new Outbox(recordOutboxFile(home), kind)
  log.info({ to: connection.name }, 'mirroring the record')
  const mirror = createMirror({
    ledger,
    outbox,
    connection,
    site,
    version,
    log,
    now: () => timeUs(Date.now() * 1000),
    wait: scaledWait(waitScale),
  })
  await runSending('mirror', mirror, () => {
    outbox.close()
    ledger.close()
    release()
  })
}
