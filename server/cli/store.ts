import { setTimeout as sleep } from 'node:timers/promises'
import { type Command, Option } from 'commander'
import { systemClock } from '../../ingest/clock.ts'
import { readIngestConfig } from '../../ingest/config.ts'
import { type CopyProgress, type CopyResult, copyHistory } from '../../ingest/forward/copy-history.ts'
import { readInfluxSecrets } from '../../ingest/influx-secrets.ts'
import { connectInflux } from '../../ingest/store/influx-connection.ts'
import { Outbox, outboxFile } from '../../ingest/store/outbox.ts'
import { readSurroundings } from '../config.ts'
import { ServerError } from '../errors.ts'
import { openReadingsOf } from './open-home.ts'

export const registerStore = (program: Command): void => {
  const store = program.command('store').description('the other place that readings are sent on to')
  store
    .command('copy')
    .description('bring readings to InfluxDB that are not there, and compare count and checksum of every day')
    .addOption(new Option('--wait-scale <factor>', 'shortens waiting, for tests').default('1').hideHelp())
    .action(({ waitScale }: { readonly waitScale: string }) => copy(Number(waitScale)))
}

const copy = async (waitScale: number): Promise<void> => {
  const { home } = readSurroundings()
  const { influx, site, simulated } = readIngestConfig(home)
  if (influx === null)
    throw new ServerError('bad-request', 'there is no other place: store.influx is not set', {
      fix: 'see README, InfluxDB',
    })
  const connection = connectInflux(influx, readInfluxSecrets(influx))
  const store = openReadingsOf(home, false)
  const outbox = new Outbox(outboxFile(home), simulated ? 'simulated' : 'real')
  const clock = systemClock()
  try {
    const result = await copyHistory({
      store,
      outbox,
      connection,
      site,
      now: () => clock.now(),
      wait: (ms) => sleep(ms * waitScale),
      onProgress: showProgress(),
    })
    tell(result, connection.name)
  } finally {
    outbox.close()
    await store.close()
  }
}

const SHOW_EVERY_MS = 1000

/** One line a second on standard error, and the last one. */
const showProgress = () => {
  let shownMs = Number.NEGATIVE_INFINITY
  return ({ day, series, days, ofDays, compared, sent }: CopyProgress): void => {
    if (performance.now() - shownMs < SHOW_EVERY_MS && days !== ofDays) return
    shownMs = performance.now()
    process.stderr.write(
      `spargewatch: ${day} ${series}: ${days} of ${ofDays} series-days, ${compared} readings compared, ${sent} sent\n`,
    )
  }
}

const tell = (result: CopyResult, place: string): void => {
  const { series, days, compared, sent, refused, different, unequal } = result
  if (unequal.length > 0)
    throw new ServerError(
      'conflict',
      `${unequal.length} of ${days} series-days are not the same at ${place}: ${refused} readings refused, ${different} stand there with other content and were left alone; first ${unequal.slice(0, 5).join(', ')}`,
    )
  console.log(
    `${compared} readings of ${series} series on ${days} series-days: count and checksum of every day are the same at ${place} (${sent} sent now)`,
  )
}
