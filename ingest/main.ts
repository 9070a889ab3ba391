import { systemClock } from './clock.ts'
import { readIngestConfig } from './config.ts'
import { startDaemon } from './daemon.ts'
import { createLog } from './log.ts'
import { claimHome, readingsFile } from './store/home.ts'

/** Runs the daemon in this process until it is told to stop or its parent is gone. */
export const runDaemon = (home: string): void => {
  const config = readIngestConfig(home)
  const release = claimHome(home, 'daemon')
  const log = createLog('daemon')
  const stop = startDaemon({
    config,
    readingsPath: readingsFile(home),
    clock: systemClock(),
    log,
    // what another place is still to get stays here
    removableUpTo: () => (config.influx === null ? Number.MAX_SAFE_INTEGER : 0),
  })
  let ending = false
  const end = () => {
    if (ending) return
    ending = true
    stop()
    release()
    process.exit(0)
  }
  process.once('SIGTERM', end)
  process.once('SIGINT', end)
  if (process.connected) process.once('disconnect', end)
  process.send?.({ kind: 'started', part: 'daemon' })
  log.info({ ports: config.ports.length }, 'logging')
}
