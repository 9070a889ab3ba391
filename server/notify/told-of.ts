import type { Priority } from '../../ingest/config-delivery.ts'
import { alarmKey } from '../alarm/alarm-board.ts'
import type { ServerConfig } from '../config.ts'
import type { EntryOf } from '../ledger/entry.ts'
import type { Ledger } from '../ledger/ledger.ts'
import type { AlarmView } from '../wire.ts'
import type { Told } from './delivery.ts'

export interface ToldOfOptions {
  readonly config: Pick<ServerConfig, 'benches' | 'simulated'>
  readonly ledger: Pick<Ledger, 'ofBatch'>
  /** Alarms as the screens show them now. */
  readonly alarms: () => readonly AlarmView[]
}

/** An alarm as a message tells of it: words of the program only; what people typed stays here. */
export const toldOf = ({ config, ledger, alarms }: ToldOfOptions) => {
  const benches = new Map(config.benches.map((bench) => [bench.id, bench]))
  return (entry: EntryOf<'alarm'>): Told => {
    const { alarm, priority, text } = entry.data
    const key = alarmKey(entry.bench, alarm)
    const bench = entry.bench === null ? undefined : benches.get(entry.bench)
    return {
      key,
      alarm,
      bench: entry.bench === null ? null : { id: entry.bench, name: bench?.name ?? `Bench ${entry.bench}` },
      batch: entry.batch === null ? null : numberOf(ledger, entry.batch),
      priority: priority as Priority,
      text,
      whatToDo: alarms().find((shown) => shown.key === key)?.what_to_do ?? null,
      raisedAt: entry.happened_at,
      over: null,
      seenAt: null,
      simulated: config.simulated || bench?.simulated === true,
    }
  }
}

const numberOf = (ledger: Pick<Ledger, 'ofBatch'>, batch: string): string | null => {
  const opened = ledger.ofBatch(batch).find((entry) => entry.kind === 'batch-opened')
  return opened?.kind === 'batch-opened' ? opened.data.number : null
}
