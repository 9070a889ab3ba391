import type { BatchHead, LiveBench } from '../../server/wire.ts'
import type { Unit } from '../format.ts'
import type { PotencyShown } from '../potency-shown.ts'
import type { SiteClock } from '../site-clock.ts'
import type { Acting } from '../use-acting.ts'

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
}

/** The newest sequence known: an entry made here may be ahead of the stream. */
export const newestSeq = (batch: BatchHead, { doing }: Acting): number =>
  doing.kind === 'entered' && doing.acted.head.id === batch.id
    ? Math.max(batch.seq, doing.acted.head.seq)
    : batch.seq

export const isOpen = (batch: BatchHead | null): batch is BatchHead =>
  batch !== null && batch.discarded_at === null
