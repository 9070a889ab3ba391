import { readForwardReport } from '../../ingest/store/outbox.ts'
import type { SqliteStore } from '../../ingest/store/sqlite-store.ts'
import type { DiskSeen, ForwardingSeen, SiteAlarmView } from '../alarm/site-alarm-view.ts'
import type { ServerConfig } from '../config.ts'
import type { ServerClock } from './bench-state.ts'

export interface SiteWatchOptions {
  readonly config: ServerConfig
  readonly store: SqliteStore
  readonly clock: ServerClock
  readonly disk: () => DiskSeen
  readonly onTrouble: (error: unknown) => void
}

/** The forwarder rewrites its status every second; this long without counts as gone. */
const GONE_MS = 10_000

/** Looks at what alarms of the whole site are about. What cannot be looked at is unknown: no reason to clear an alarm. */
export const createSiteWatch = (options: SiteWatchOptions): (() => SiteAlarmView) => {
  const { config, clock, onTrouble } = options
  const oldest = oldestWaiting(options.store)
  let before: number | null = null

  const seen = (): ForwardingSeen => {
    const report = readForwardReport(config.home)
    const now = clock.nowMs()
    const oldestUs = oldest(report?.seq ?? 0)
    const waitedS = oldestUs === null ? null : Math.max(0, now - oldestUs / 1000) / 1000
    const isCatchingUp = waitedS !== null && before !== null && waitedS < before
    before = waitedS
    return {
      oldestWaitingS: waitedS,
      isCatchingUp,
      alive: report !== null && report.state !== 'stopped' && now - report.timeUs / 1000 < GONE_MS,
      notLetIn: report?.state === 'not-let-in',
      refusedAgoS:
        report === null || report.lastRefusedUs === null ? null : (now - report.lastRefusedUs / 1000) / 1000,
    }
  }

  const attempt = <T>(look: () => T): T | 'unknown' => {
    try {
      return look()
    } catch (error) {
      onTrouble(error)
      return 'unknown'
    }
  }
  return () => ({ forwarding: config.forwards ? attempt(seen) : 'none', disk: attempt(options.disk) })
}

/** Time of the first reading after an arrival number; an imported file's times say nothing of how long it waits. */
const oldestWaiting = ({ db }: SqliteStore) => {
  const next = db
    .prepare(
      `SELECT r.time_us FROM reading r JOIN series s ON s.id = r.series
       WHERE r.seq > ? AND s.instrument NOT LIKE 'import:%' ORDER BY r.seq LIMIT 1`,
    )
    .pluck()
  return (seq: number): number | null => (next.get(seq) as number | undefined) ?? null
}
