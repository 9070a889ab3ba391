import { createServer } from 'node:http'
import { join } from 'node:path'
import { pino } from 'pino'
import { claimHome, readingsFile } from '../ingest/store/home.ts'
import { createLiveEstimator, liveEstimate } from './analysis/live.ts'
import { packageFolder, readServerConfig, type Surroundings } from './config.ts'
import { messageOf } from './errors.ts'
import { ledgerFile, programVersion } from './home-files.ts'
import { createHttp, listen } from './http.ts'
import { driveSimulatedBenches } from './live/drive-simulated-benches.ts'
import type { DeliverySetUp } from './notify/elsewhere.ts'
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
  const config = readServerConfig(home)
  const release = claimHome(home, 'server')
  const log = pino({ base: { part: 'server' }, timestamp: pino.stdTimeFunctions.isoTime })
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
  const http = createServer(
    createHttp({ service, screens: join(packageFolder(), 'dist', 'web'), onUnexpected: trouble }),
  )
  const stopSockets = sockets.serve(http, service)
  const stopDriving = driveSimulatedBenches(service, trouble)
  const address = await listen(http, host, port)
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
