import { ServerError } from '../errors.ts'
import { type Batch, gasState } from '../ledger/batch.ts'
import { conflictWith, newerByPeople } from '../ledger/conflict.ts'
import { whyNotPossible } from '../ledger/possible.ts'
import type { Act } from '../wire.ts'

/** A wrong tap can be taken back for this long. */
export const UNDO_MS = 10_000
/** The network and a slow thumb do not count against it. */
const UNDO_GRACE_MS = 3000
/** A batch may be opened after the gas went on, by at most this much. */
const BEFORE_OPENING_MS = 10 * 60_000

/** Asked before what is possible: who has not seen the newest entries gets those, not a refusal they cannot understand. */
export const checkNewer = (batch: Batch, request: Act): void => {
  const newer = newerByPeople(batch.entries, request.expected_seq)
  if (newer.length > 0) throw conflictWith(newer)
}

const LONGEST_BACK_MS = 24 * 3600_000

const GAS_EVENTS = new Set(['ozone-on', 'ozone-off', 'flow-off', 'discarded'])

export const checkPossible = (request: Act, batch: Batch, happenedMs: number, nowMs: number): void => {
  if (request.entry.kind === 'undone') {
    checkUndo(request.entry.data.entry, batch, nowMs)
    return
  }
  const why = whyNotPossible(request.entry, batch)
  if (why) throw new ServerError('not-possible-now', why)
  const state = gasState(batch)
  const atMs = happenedMs + setBackMs(batch, nowMs)
  if (GAS_EVENTS.has(request.entry.kind) && atMs < (batch.gas.at(-1)?.atMs ?? Number.NEGATIVE_INFINITY))
    throw new ServerError(
      'bad-request',
      `${request.entry.kind} cannot have happened before ${state.since}, when ${state.kind} began`,
    )
  if (atMs < Date.parse(batch.openedAt) - BEFORE_OPENING_MS)
    throw new ServerError(
      'bad-request',
      `${request.entry.kind} cannot have happened more than 10 minutes before the batch was opened`,
    )
}

/**
 * By how much at least the wall clock was set back since the opening: the ozone off must be taken although the
 * clock now says that the ozone is not even on.
 */
const setBackMs = (batch: Batch, nowMs: number): number =>
  batch.setBackMs + Math.max(0, Date.parse(batch.entries.at(-1)?.entered_at ?? '') - nowMs || 0)

/** Two batches never stand at one bench at once, and what is long over is imported, not acted. */
export const checkOpening = (happenedMs: number, last: Batch | undefined, nowMs: number): void => {
  const freeSince = last?.discardedAt
  if (last && freeSince && happenedMs + setBackMs(last, nowMs) < Date.parse(freeSince))
    throw new ServerError(
      'not-possible-now',
      `the batch cannot have been opened before the last one at this bench was discarded, ${freeSince}`,
    )
  if (nowMs - happenedMs > LONGEST_BACK_MS)
    throw new ServerError('not-possible-now', 'a batch cannot be opened more than 24 hours back', {
      fix: 'import the log of an old batch with "spargewatch import"',
    })
}

const checkUndo = (id: string, batch: Batch, nowMs: number): void => {
  const entry = batch.entries.find((e) => e.id === id)
  if (!entry) throw new ServerError('not-found', `entry ${id} is not of this batch`)
  if (entry.who.how === 'program')
    throw new ServerError('not-possible-now', 'what the program wrote cannot be taken back')
  if (batch.undone.has(id)) throw new ServerError('not-possible-now', 'that entry was taken back already')
  if (nowMs - Date.parse(entry.entered_at) > UNDO_MS + UNDO_GRACE_MS)
    throw new ServerError('not-possible-now', 'the 10 seconds to take it back are over', {
      fix: 'add a note that says what was wrong',
    })
}
