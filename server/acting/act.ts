import { ServerError } from '../errors.ts'
import { type Batch, foldBatch } from '../ledger/batch.ts'
import type { Entry, EntryData, EntryKind, Who } from '../ledger/entry.ts'
import type { Ledger, NewEntry } from '../ledger/ledger.ts'
import { newestBatchAt } from '../ledger/newest-batch.ts'
import { fromSheetOf } from '../method-sheet/sheet-of-batch.ts'
import { sheetsOf } from '../method-sheet/sheets-of.ts'
import { openTrial } from '../trial/change-trial.ts'
import type { Act } from '../wire.ts'
import { batchNumber } from './batch-number.ts'
import { checkNewer, checkOpening, checkPossible } from './checks.ts'

export interface ActingParts {
  readonly ledger: Ledger
  readonly who: Who
  readonly zone: string
  readonly benches: ReadonlySet<string>
  readonly nowMs: () => number
  /** What the program knows of the fluid at a moment; null when it knows nothing. */
  readonly valueAt: (bench: string, atMs: number) => EntryData<'drawn-up'>['at_draw']
  /** The settled value of a dipped probe; throws when there is none. */
  readonly spotAt: (bench: string, asked: { fromMs: number; toMs: number }) => SpotSettled
}

/** What goes into the record of a spot reading, and the moment its value belongs to. */
export interface SpotSettled {
  readonly happenedAt: string
  readonly data: EntryData<'spot-reading'>
}

/** Clocks of screens and server may differ by this much before a time counts as in the future. */
const FUTURE_MS = 2000

/** A person does something: checked against what is possible now, completed by what the server knows, recorded. */
export const act = (batchId: string, request: Act, parts: ActingParts): Entry => {
  const { ledger } = parts
  const there = ledger.byId(request.id)
  if (there) return sameAgain(there, batchId, request)
  if (!parts.benches.has(request.bench))
    throw new ServerError('not-found', `bench ${request.bench} is not in the wiring`, {
      fix: `use one of ${[...parts.benches].join(', ')}`,
    })
  const happenedMs = request.happened_at ? Date.parse(request.happened_at) : parts.nowMs()
  if (happenedMs > parts.nowMs() + FUTURE_MS)
    throw new ServerError('bad-request', `happened_at lies in the future: ${request.happened_at}`, {
      fix: 'check the clock of this screen',
    })
  const happenedAt = new Date(Math.min(happenedMs, parts.nowMs())).toISOString()
  const batch = foldBatch(ledger.ofBatch(batchId))
  if (request.entry.kind === 'batch-opened') return open(batchId, request, happenedAt, batch, parts)
  if (!batch)
    throw new ServerError('not-found', `batch ${batchId} does not exist`, {
      fix: 'open it first with a batch-opened entry',
    })
  if (batch.bench !== request.bench)
    throw new ServerError(
      'bad-request',
      `batch ${batch.settings.number} stands at bench ${batch.bench}, not ${request.bench}`,
    )
  checkNewer(batch, request)
  checkPossible(request, batch, happenedMs, parts.nowMs())
  const { kind } = request.entry
  if (kind === 'spot-reading') {
    const spot = spotReading(request.entry.data, request.bench, parts)
    return ledger.append(newEntry(batchId, request, spot.happenedAt, kind, spot.data, parts)).entry
  }
  const data =
    kind === 'drawn-up'
      ? drawnUp(request.entry.data, batch, happenedMs, parts)
      : 'data' in request.entry
        ? request.entry.data
        : {}
  return ledger.append(newEntry(batchId, request, happenedAt, kind, data, parts)).entry
}

/** A retry is harmless; another deed under a used id would be lost in silence, so it is refused. */
const sameAgain = (there: Entry, batchId: string, { id, bench, entry }: Act): Entry => {
  const asked: Readonly<Record<string, unknown>> = 'data' in entry ? { ...entry.data } : {}
  const kept: Readonly<Record<string, unknown>> = { ...there.data }
  const isSame =
    there.kind === entry.kind &&
    there.batch === batchId &&
    there.bench === bench &&
    Object.keys(asked).every((key) => asKept(asked[key]) === asKept(kept[key]))
  if (isSame) return there
  throw new ServerError('bad-request', `id ${id} already names another entry`, {
    fix: 'make a new UUIDv7 for each entry',
  })
}

/** The ledger keeps texts without the blanks around them, and JSON has no negative zero. */
const asKept = (value: unknown): string | undefined =>
  JSON.stringify(typeof value === 'string' ? value.trim() : value)

const newEntry = (
  batchId: string,
  request: Act,
  happenedAt: string,
  kind: EntryKind,
  data: unknown,
  parts: ActingParts,
): NewEntry => ({
  id: request.id,
  happened_at: happenedAt,
  entered_at: new Date(parts.nowMs()).toISOString(),
  bench: request.bench,
  batch: batchId,
  who: parts.who,
  why: request.why ?? null,
  kind,
  data: data as NewEntry['data'],
  expectedSeq: request.expected_seq,
})

const open = (
  batchId: string,
  request: Act,
  happenedAt: string,
  there: Batch | undefined,
  parts: ActingParts,
): Entry => {
  if (there)
    throw new ServerError('conflict', `batch ${there.settings.number} is open already`, {
      context: { entries: there.entries },
    })
  if (request.entry.kind !== 'batch-opened')
    throw new ServerError('bad-request', 'a batch begins with batch-opened')
  const busy = newestBatchAt(parts.ledger, request.bench)
  if (busy && !busy.discardedAt)
    throw new ServerError('not-possible-now', `batch ${busy.settings.number} is still open at this bench`, {
      fix: 'discard it first',
      context: { entries: [...busy.entries] },
    })
  checkOpening(Date.parse(happenedAt), busy, parts.nowMs())
  if (request.entry.data.trial !== undefined) openTrial(parts.ledger, request.entry.data.trial)
  const fromSheet = fromSheetOf(request.entry.data, sheetsOf(parts.ledger))
  const number = batchNumber(request.bench, happenedAt, parts.zone, parts.ledger.ofKind('batch-opened'))
  return parts.ledger.append({
    ...newEntry(
      batchId,
      request,
      happenedAt,
      'batch-opened',
      {
        ...request.entry.data,
        number,
        ...(fromSheet ? { from_sheet: fromSheet } : {}),
      },
      parts,
    ),
    expectedSeq: 0,
  }).entry
}

/** What the stored readings say of the stretch that was asked for; `from` may be earlier there, where "Probe in" was entered. */
const spotReading = (
  { from, to }: { from: string; to: string },
  bench: string,
  parts: ActingParts,
): SpotSettled => {
  const [fromMs, toMs] = [Date.parse(from), Date.parse(to)]
  if (!(fromMs < toMs) || toMs > parts.nowMs() + FUTURE_MS)
    throw new ServerError(
      'bad-request',
      `to needs to be after from and not in the future, got ${from} to ${to}`,
    )
  const { happenedAt, data } = parts.spotAt(bench, { fromMs, toMs })
  return { happenedAt, data: { ...data, from, to } }
}

const drawnUp = (
  data: { ml: number; opaque_reference?: string | undefined },
  batch: Batch,
  atMs: number,
  parts: ActingParts,
) => ({
  ...data,
  left_ml: batch.leftMl - data.ml,
  at_draw: parts.valueAt(batch.bench, atMs),
})
