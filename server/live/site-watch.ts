import { type ForwardReport, readForwardReport, readMirrorReport } from '../../ingest/store/outbox.ts'
import type { SqliteStore } from '../../ingest/store/sqlite-store.ts'
import type { DeliverySeen, DiskSeen, SendingSeen, SiteAlarmView } from '../alarm/site-alarm-view.ts'
import type { ServerConfig } from '../config.ts'
import type { Ledger } from '../ledger/ledger.ts'

export interface SiteWatchOptions {
  readonly config: Pick<ServerConfig, 'home' | 'forwards' | 'mirrors'>
  readonly store: Pick<SqliteStore, 'db'>
  readonly ledger: Pick<Ledger, 'after'>
  readonly nowMs: () => number
  readonly disk: () => DiskSeen
  readonly delivery: () => DeliverySeen | 'none'
  /** For how long the logging program has said nothing, s. */
  readonly loggingSilentS: () => number
  readonly onTrouble: (error: unknown) => void
}

/** A sender rewrites its status every second; this long without counts as gone. */
const GONE_MS = 10_000

/** Looks at what alarms of the whole site are about. What cannot be looked at is unknown: no reason to clear an alarm. */
export const createSiteWatch = (options: SiteWatchOptions): (() => SiteAlarmView) => {
  const { config, store, ledger, nowMs, disk, delivery, loggingSilentS, onTrouble } = options
  const readings = watchSending(() => readForwardReport(config.home), oldestReading(store), nowMs)
  const entries = watchSending(() => readMirrorReport(config.home), oldestEntry(ledger), nowMs)
  const attempt = <T>(look: () => T): T | 'unknown' => {
    try {
      return look()
    } catch (error) {
      onTrouble(error)
      return 'unknown'
    }
  }
  return () => ({
    forwarding: config.forwards ? attempt(readings) : 'none',
    mirror: config.mirrors ? attempt(entries) : 'none',
    disk: attempt(disk),
    delivery: attempt(delivery),
    loggingSilentS: attempt(loggingSilentS),
  })
}

/** @param oldestMs time of the first one after an arrival number, ms; null when there is none */
const watchSending = (
  report: () => ForwardReport | null,
  oldestMs: (seq: number) => number | null,
  nowMs: () => number,
): (() => SendingSeen) => {
  let before: number | null = null
  return () => {
    const said = report()
    const now = nowMs()
    const oldest = oldestMs(said?.seq ?? 0)
    const waitedS = oldest === null ? null : Math.max(0, now - oldest) / 1000
    const isCatchingUp = waitedS !== null && before !== null && waitedS < before
    before = waitedS
    return {
      oldestWaitingS: waitedS,
      isCatchingUp,
      alive: said !== null && said.state !== 'stopped' && now - said.timeUs / 1000 < GONE_MS,
      notLetIn: said?.state === 'not-let-in',
      refusedAgoS:
        said === null || said.lastRefusedUs === null ? null : (now - said.lastRefusedUs / 1000) / 1000,
    }
  }
}

/** An imported file's times say nothing of how long it waits. */
const oldestReading = ({ db }: Pick<SqliteStore, 'db'>) => {
  const next = db
    .prepare(
      `SELECT r.time_us / 1000.0 FROM reading r JOIN series s ON s.id = r.series
       WHERE r.seq > ? AND s.instrument NOT LIKE 'import:%' ORDER BY r.seq LIMIT 1`,
    )
    .pluck()
  return (seq: number): number | null => (next.get(seq) as number | undefined) ?? null
}

const oldestEntry =
  (ledger: Pick<Ledger, 'after'>) =>
  (seq: number): number | null => {
    const [entry] = ledger.after(seq, 1)
    return entry ? Date.parse(entry.entered_at) : null
  }
