import { join } from 'node:path'
import { onTestFinished } from 'vitest'
import type { Reading } from '../../ingest/reading/reading.ts'
import { createEventLog } from '../../ingest/store/event-log.ts'
import { SqliteStore } from '../../ingest/store/sqlite-store.ts'
import type { DaemonEvent, PortStatus } from '../../ingest/store/store.ts'
import { makeHome } from './home.ts'
import { runPart } from './program.ts'
import { until } from './until.ts'

/** The logging daemon alone, with another reader beside it that looks at what it has stored. */
export const startDaemonOn = async (yaml: string) => {
  const home = makeHome(yaml)
  const daemon = runPart(['daemon'], { home })
  await daemon.started()
  const store = new SqliteStore({ path: join(home, 'readings.db'), kind: 'real', writes: false })
  onTestFinished(() => void store.db.close())
  const events = createEventLog(store.db)
  const status = (): PortStatus | undefined => events.ports()[0]
  const readings = (instrument?: string): Reading[] =>
    store.after(0, 1_000_000).filter((r) => instrument === undefined || r.series.instrument === instrument)
  return {
    home,
    daemon,
    status,
    readings,
    events: (): DaemonEvent[] => events.after(0, 100_000),
    discarded: (why: string): number => status()?.discarded[why] ?? 0,
    /** Waits for so many more readings than there are now. */
    untilMore: async (more: number, instrument?: string): Promise<Reading[]> => {
      const before = readings(instrument).length
      return until(`${more} more readings`, () => {
        const all = readings(instrument)
        return all.length >= before + more && all.slice(before)
      })
    },
  }
}

export type DaemonAtWork = Awaited<ReturnType<typeof startDaemonOn>>
