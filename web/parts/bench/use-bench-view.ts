import type { BatchHead, BatchRecord, EntryView } from '../../../server/wire.ts'
import { useAsked } from '../../ask.ts'
import { type Moment, serverNow } from '../../moment.ts'
import { inTouch, potencyShown } from '../../potency-shown.ts'
import { useUnit } from '../../remembered.ts'
import { useApp } from '../../store.ts'
import { useActing } from '../../use-acting.ts'
import { useSiteClock } from '../frame/site.ts'
import type { BenchView } from './bench-view.ts'

/** Everything one bench's screen shows at this moment; null until the server has spoken of the bench. */
export const useBenchView = (bench: string, now: Moment): BenchView | null => {
  const heard = useApp((s) => s.benches.get(bench))
  const connected = useApp((s) => s.link === 'connected')
  const clock = useSiteClock()
  const [unit] = useUnit()
  const acting = useActing(bench)
  const entries = useEntries(heard?.value.batch ?? null)
  if (heard === undefined) return null
  return {
    live: heard.value,
    shown: potencyShown(heard, connected, now),
    clock,
    now_ms: serverNow(heard.value.at, heard.heard, now),
    unit,
    in_touch: inTouch(heard.heard, connected, now),
    acting,
    entries,
  }
}

const NONE: readonly never[] = []

/** Asked for again whenever the newest sequence moves. */
const useEntries = (batch: BatchHead | null): readonly EntryView[] => {
  const newest = useApp((s) => (batch === null ? 0 : (s.newest.get(batch.id) ?? 0)))
  const path = batch === null ? null : `/api/batches/${batch.id}`
  const [asked] = useAsked<BatchRecord>(path, Math.max(newest, batch?.seq ?? 0))
  return asked.kind === 'answer' ? asked.value.entries : NONE
}
