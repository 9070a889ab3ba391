import { ServerError } from '../errors.ts'
import { type Batch, gasState } from '../ledger/batch.ts'
import { conflictWith, newerByPeople } from '../ledger/ledger.ts'
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
  if (GAS_EVENTS.has(request.entry.kind) && state.kind !== 'set-up' && happenedMs < Date.parse(state.since))
    throw new ServerError(
      'bad-request',
      `${request.entry.kind} cannot have happened before ${state.since}, when ${state.kind} began`,
    )
  if (happenedMs < Date.parse(batch.openedAt) - BEFORE_OPENING_MS)
    throw new ServerError(
      'bad-request',
      `${request.entry.kind} cannot have happened more than 10 minutes before the batch was opened`,
    )
}

/** Two batches never stand at one bench at once, and what is long over is imported, not acted. */
export const checkOpening = (happenedAt: string, lastDiscardedAt: string | null, nowMs: number): void => {
  if (lastDiscardedAt !== null && happenedAt < lastDiscardedAt)
    throw new ServerError(
      'not-possible-now',
      `the batch cannot have been opened before the last one at this bench was discarded, ${lastDiscardedAt}`,
    )
  if (nowMs - Date.parse(happenedAt) > LONGEST_BACK_MS)
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
