import type { EventLog } from '../../ingest/store/event-log.ts'
import type { DaemonEvent } from '../../ingest/store/store.ts'
import type { Batch } from '../ledger/batch.ts'
import type { Ledger, NewEntry } from '../ledger/ledger.ts'

/** Events that belong into the record; port chatter and discard counts stay with the readings. */
const RECORDED = new Set<DaemonEvent['kind']>([
  'gap',
  'clock-step',
  'store-trouble',
  'rewired',
  'wiring-refused',
])

/**
 * Turns the daemon's events into ledger entries, once each: the number of the newest event seen is written in
 * the same file. A gap goes to the open batch of each bench it touched. Returns true when the daemon was
 * started anew or took another wiring.
 */
export const recordDaemonEvents = (
  ledger: Ledger,
  events: EventLog,
  batchAt: (bench: string) => Batch | undefined,
  newId: () => string,
  nowMs: number,
): boolean => {
  const news = events.after(ledger.daemonEventSeen())
  const last = news.at(-1)
  if (!last) return false
  const entries = news.filter((e) => RECORDED.has(e.kind)).flatMap((e) => entriesOf(e, batchAt, newId, nowMs))
  ledger.appendAll(entries, last.id)
  return news.some((e) => e.kind === 'started' || e.kind === 'rewired')
}

const entriesOf = (
  event: DaemonEvent,
  batchAt: (bench: string) => Batch | undefined,
  newId: () => string,
  nowMs: number,
): NewEntry<'from-daemon'>[] => {
  const benches = event.detail['benches']
  const touched: (string | null)[] = Array.isArray(benches) ? benches.map(String) : [null]
  return touched.map((bench) => {
    const batch = bench === null ? undefined : batchAt(bench)
    return {
      id: newId(),
      happened_at: new Date(event.timeUs / 1000).toISOString(),
      entered_at: new Date(nowMs).toISOString(),
      bench,
      batch: batch && !batch.discardedAt ? batch.id : null,
      who: { name: 'Spargewatch', how: 'program' },
      kind: 'from-daemon',
      data: { event: event.id, kind: event.kind, detail: { ...event.detail } },
    }
  })
}
