import { readFileSync } from 'node:fs'
import { createServer, type RequestListener, type Server } from 'node:http'
import { createServer as createTlsServer } from 'node:https'
import { join } from 'node:path'
import { setFlagsFromString } from 'node:v8'
import { pino } from 'pino'
import { claimHome, readingsFile } from '../ingest/store/home.ts'
import { createLiveEstimator, liveEstimate } from './analysis/live.ts'
import { packageFolder, readServerConfig, type Surroundings, type WebConfig } from './config.ts'
import { messageOf, ServerError } from './errors.ts'
import { ledgerFile, programVersion } from './home-files.ts'
import { createHttp, listen } from './http.ts'
import { driveSimulatedBenches } from './live/drive-simulated-benches.ts'
import type { DeliverySetUp } from './notify/elsewhere.ts'
import { checkReach, checkStaysHere, oursAt } from './people/reach.ts'
import { setUpLink } from './people/set-up-link.ts'
import { startResultKeeper } from './report/result-keeper.ts'
import { openService, type Service } from './service.ts'
import { createSockets } from './sockets.ts'

/**
 * Runs the server in this process until it is told to stop or its parent is gone. `demoOf`: this home is a
 * demonstration's, and a meter that is set up belongs into that one.
 */
export const runServer = async (
  { home, host, port }: Surroundings,
  demoOf: string | null = null,
  delivery: DeliverySetUp = { kind: 'none' },
): Promise<void> => {
  setFlagsFromString(HEAP_GROWTH)
  const config = readServerConfig(home)
  const release = claimHome(home, 'server')
  const log = pino({ base: { part: 'server' }, timestamp: pino.stdTimeFunctions.isoTime, redact: SECRETS })
  const trouble = (error: unknown) =>
    log.error({ why: messageOf(error), stack: error instanceof Error ? error.stack : undefined }, 'trouble')
  const sockets = createSockets()
  const service = openService({
    config,
    ...(demoOf === null ? {} : { setUp: { home: demoOf, demo: true } }),
    version: programVersion(),
    files: { readings: readingsFile(home), ledger: ledgerFile(home) },
    estimator: liveEstimate,
    newEstimator: createLiveEstimator,
    clock: { nowMs: Date.now, steadyMs: () => performance.now() },
    publish: sockets.publish,
    delivery,
    log,
    onTrouble: trouble,
  })
  if (demoOf === null) checkReach(host, config.web, () => service.people.isSetUp())
  else checkStaysHere(host, 'the demonstration')
  const ours = oursAt(host, config.web)
  const app = createHttp({
    service,
    ours,
    behindProxy: config.web.behindProxy,
    screens: join(packageFolder(), 'dist', 'web'),
    onUnexpected: trouble,
  })
  const http = httpOf(config.web, app)
  const stopSockets = sockets.serve(http, service, ours)
  const stopDriving = driveSimulatedBenches(service, trouble)
  const address = await listen(http, host, port, config.web.tls ? 'https' : 'http')
  service.engine.start()
  service.elsewhere.start()
  if (delivery.kind === 'fault') log.error({ why: delivery.why }, 'nobody is told of alarms elsewhere')
  const stopKeeping = keepResults(service, trouble)

  let ending = false
  const end = async () => {
    if (ending) return
    ending = true
    stopDriving()
    stopKeeping()
    const stopped = stopSockets()
    // a browser with half a request open must not keep the program alive
    http.closeAllConnections()
    await Promise.all([stopped, service.elsewhere.stop()])
    service.close()
    release()
    process.exit(0)
  }
  process.once('SIGTERM', () => void end())
  process.once('SIGINT', () => void end())
  if (process.connected) process.once('disconnect', () => void end())
  process.send?.({ kind: 'started', part: 'server', address })
  log.info({ address, simulated: config.simulated }, 'serving')
  const link = demoOf === null ? setUpLink(service.people, address) : undefined
  // for the person at the machine; not through the log, which goes elsewhere and stays
  if (link !== undefined) process.stderr.write(`\n${link}\n\n`)
}

/**
 * What a bench shows lives for a second and is garbage then; by itself V8 lets a hundred benches' worth pile up to several
 * times what is in use before it collects (measured: 301 MB resident for 57 MB in use, with this 204 MB). No limit.
 */
const HEAP_GROWTH = '--heap-growing-percent=40'

/** Should one of these ever reach the log, it is blotted out. */
const SECRETS = ['password', 'pin', 'secret', 'token', 'cookie'].flatMap((key) => [
  key,
  `*.${key}`,
  `*.*.${key}`,
])

const httpOf = ({ tls }: WebConfig, app: RequestListener): Server => {
  if (tls === null) return createServer(app)
  try {
    return createTlsServer({ cert: readFileSync(tls.cert), key: readFileSync(tls.key) }, app)
  } catch (error) {
    throw new ServerError(
      'config-invalid',
      `web: tls needs a certificate (${tls.cert}) and its key (${tls.key}) as PEM files that can be read: ${messageOf(error)}`,
      { cause: error },
    )
  }
}

/** Where raw readings are removed after some time, what was worked out from them is kept before. */
const keepResults = (service: Service, onTrouble: (error: unknown) => void): (() => void) => {
  const { config, ledger, reports, results, version, clock } = service
  if (results === undefined || config.keepRawDays === null) return () => {}
  return startResultKeeper({
    ledger,
    reports,
    results,
    programVersion: version,
    nowMs: clock.nowMs,
    onTrouble,
  })
}
