import type { SqliteStore } from '../../ingest/store/sqlite-store.ts'
import { type CalibrationInForce, calibrationsOf, inForceAt } from '../calibration/in-force.ts'
import { referenceOf, UNCALIBRATED } from '../calibration/measured-against.ts'
import type { Batch } from '../ledger/batch.ts'
import { spotValues } from '../spot/spot-mode.ts'
import type { LedgerView } from './as-of.ts'
import type { BatchInput } from './batch-input.ts'

interface Parts {
  readonly store: SqliteStore
  readonly ledger: LedgerView
  readonly nowMs: () => number
}

/** Calibrations of a bench's meter in force from ozone-on to the batch's end; undefined where the bench has no meter. */
export const calibrationsUsed = (
  batch: Batch,
  { store, ledger, nowMs }: Parts,
): readonly CalibrationInForce[] | undefined => {
  const meters = store.wiring().filter((s) => s.bench === batch.bench && s.channel === 'dissolved-ozone')
  const meter = meters.find((s) => s.wired) ?? meters[0]
  if (!meter) return undefined
  const own = calibrationsOf(ledger.ofKind('calibration'), meter.instrument, meter.channel)
  const startMs = Date.parse(batch.ozoneOnAt[0] ?? batch.openedAt)
  const endMs = batch.discardedAt ? Date.parse(batch.discardedAt) : nowMs()
  const first = inForceAt(own, startMs)
  return own.filter((c) => c === first || (Date.parse(c.at) > startMs && Date.parse(c.at) < endMs))
}

/** What typed-in values rest on. */
export const typedBy = (batch: Batch): string[] =>
  distinct(spotValues(batch).flatMap(({ by, method }) => (by === 'kit' ? [`typed in, ${method}`] : [])))

/** Kinds of reference the readings of a batch that was worked out rest on. */
export const measuredBy = ({ batch, tally, meter }: Measured): string[] => {
  if (!meter) return typedBy(batch)
  const used = tally.all().map((u) => referenceOf(u.by.data))
  return used.length === 0 ? [UNCALIBRATED] : distinct(used)
}

interface Measured extends Pick<BatchInput, 'tally' | 'meter'> {
  readonly batch: Batch
}

export const distinct = (words: readonly string[]): string[] => [...new Set(words)].sort()
