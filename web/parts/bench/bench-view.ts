import type { BatchHead, EntryView, LiveBench } from '../../../server/wire.ts'
import type { Unit } from '../../../server/wording/format.ts'
import type { SiteClock } from '../../../server/wording/site-clock.ts'
import type { PotencyShown } from '../../potency-shown.ts'
import type { Acting } from '../../use-acting.ts'

/** What the parts of one bench's screen share. */
export interface BenchView {
  readonly live: LiveBench
  readonly shown: PotencyShown
  readonly clock: SiteClock
  readonly now_ms: number
  readonly unit: Unit
  /** False while the server is not heard: what it said about phase, alarms and next step is old too. */
  readonly in_touch: boolean
  readonly acting: Acting
  /** Entries of the batch as last asked for; empty until the answer is there. */
  readonly entries: readonly EntryView[]
}

/**
 * The newest sequence this screen has shown: the list of entries, an entry made here, or those a refusal listed
 * may each be ahead of the stream.
 */
export const newestSeq = (batch: BatchHead, { acting: { doing }, entries }: BenchView): number => {
  const refused = doing.kind === 'problem' && doing.batch === batch.id ? (doing.problem.entries ?? []) : []
  const made = doing.kind === 'entered' && doing.acted.head.id === batch.id ? doing.acted.head.seq : 0
  const shown = [...entries, ...refused].filter((entry) => entry.batch === batch.id)
  return Math.max(batch.seq, made, ...shown.map((entry) => entry.seq))
}

export const isOpen = (batch: BatchHead | null): batch is BatchHead =>
  batch !== null && batch.discarded_at === null
