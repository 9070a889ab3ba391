import { systemClock } from './clock.ts'
import { readIngestConfig } from './config.ts'
import { type Daemon, startDaemon } from './daemon.ts'
import { createLog } from './log.ts'
import { startWhenRoom } from './start-when-room.ts'
import { claimHome, readingsFile } from './store/home.ts'
import { resultsKeptBefore } from './store/kept-results.ts'
import { readForwardReport } from './store/outbox.ts'
import { startTap, type Tap } from './tap/tap-server.ts'
import type { TimeUs } from './units.ts'
import { watchConfig } from './watch-config.ts'

/** A forwarder that has said nothing for so long cannot be asked what it has delivered. */
const REPORT_GONE_US = 60e6

/** Runs the daemon in this process until it is told to stop or its parent is gone. */
export const runDaemon = (home: string): void => {
  const config = readIngestConfig(home)
  const release = claimHome(home, 'daemon')
  const log = createLog('daemon')
  const clock = systemClock()
  const removableUpTo = () =>
    config.influx === null ? Number.MAX_SAFE_INTEGER : deliveredUpTo(home, clock.now())
  const readingsPath = readingsFile(home)
  // a wiring that comes before there is room on the disk is the one to start with
  let wiring = config
  let daemon: Daemon | undefined
  let tap: Tap | undefined
  const stop = startWhenRoom(() => {
    const started = startDaemon({
      config: wiring,
      readingsPath,
      clock,
      log,
      removableUpTo,
      removableBefore: () => resultsKeptBefore(home),
    })
    const { hub, status } = started
    daemon = started
    tap = startTap({ home, clock, log, hub, status, wiring: () => wiring })
    return () => {
      tap?.stop()
      started.stop()
    }
  }, log)
  const unwatch = watchConfig(home, {
    onChange: (changed) => {
      wiring = changed
      tap?.release(changed.ports)
      daemon?.rewire(changed)
    },
    onFault: (why) => daemon?.refuse(why),
  })
  let ending = false
  const end = () => {
    if (ending) return
    ending = true
    unwatch()
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

/** What another place is still to get is not removed here. */
const deliveredUpTo = (home: string, now: TimeUs): number => {
  const report = readForwardReport(home)
  return report === null || Math.abs(now - report.timeUs) > REPORT_GONE_US ? 0 : report.seq
}
