import { v7 as uuidv7 } from 'uuid'
import type { KeptResults } from '../../ingest/store/kept-results.ts'
import { timeUs } from '../../ingest/units.ts'
import type { Batch } from '../ledger/batch.ts'
import type { Ledger } from '../ledger/ledger.ts'
import { openingUndone } from '../ledger/newest-batch.ts'
import type { BatchReports } from './batch-report.ts'
import { hashOfDocument } from './kept-document.ts'

export interface ResultKeeperOptions {
  readonly ledger: Ledger
  readonly reports: Pick<BatchReports, 'batch' | 'keyOf' | 'document'>
  readonly results: KeptResults
  readonly programVersion: string
  readonly nowMs: () => number
  readonly onTrouble: (error: unknown) => void
}

const HOUR_MS = 3_600_000
/** A discard can be taken back, and readings may come late: only then are results final. */
const SETTLED_MS = HOUR_MS
/** A batch that nobody discards is worked out over a day at most. */
const OVER_ANYWAY_MS = 25 * HOUR_MS
/** Readings from before the opening belong to a batch, too; clocks step. */
const MARGIN_MS = 2 * HOUR_MS
const PASS_EVERY_MS = HOUR_MS
/** Batches looked at in one step, when there is nothing to work out. */
const LOOKED_AT_ONCE = 20
const STEP_REST_MS = 50
/** Of the time that working out took, this many times is left to the live screens. */
const REST = 5
const IDLE_MS = 60_000

/**
 * Keeps the results of every finished batch while its raw readings are still there, oldest first, one batch at a time, and
 * again when an entry or a calibration has changed them. After a whole pass it marks up to when raw readings may be removed.
 * Each call of `step` says after how many milliseconds it wants to be called again.
 */
export const createResultKeeper = (options: ResultKeeperOptions) => {
  const { ledger, results, nowMs, onTrouble } = options
  /** Of the pass under way; undefined between two. */
  let todo: string[] | undefined
  let began = Number.NEGATIVE_INFINITY
  let isWhole = true

  const attempt = (id: string): boolean => {
    try {
      return keep(id, options)
    } catch (error) {
      onTrouble(error)
      // its readings must stay, and with them all that came after
      isWhole = false
      return false
    }
  }

  const begin = (): string[] => {
    began = nowMs()
    isWhole = true
    return [...ledger.batchesOpenedAt()]
  }

  const end = () => {
    todo = undefined
    if (isWhole) results.mark(timeUs((began - OVER_ANYWAY_MS - MARGIN_MS) * 1000))
  }

  const step = (): number => {
    if (todo === undefined && Math.abs(nowMs() - began) < PASS_EVERY_MS) return IDLE_MS
    todo ??= begin()
    for (let looked = 0; looked < LOOKED_AT_ONCE; looked++) {
      const id = todo.pop()
      if (id === undefined) {
        end()
        return IDLE_MS
      }
      const start = performance.now()
      if (attempt(id)) return STEP_REST_MS + REST * (performance.now() - start)
    }
    return STEP_REST_MS
  }
  return { step }
}

/** True when it had to be worked out. */
const keep = (id: string, options: ResultKeeperOptions): boolean => {
  const { ledger, reports, results, nowMs } = options
  const batch = reports.batch(id)
  if (!batch || openingUndone(batch) || !isFinished(batch, nowMs())) return false
  const key = reports.keyOf(batch)
  const there = results.find(id, key)
  if (there) {
    // a kill between the two: the results were written, their entry was not
    if (!ledger.byId(there.entry)) record(there.entry, id, there.document, there.ledgerEntries, options)
    return false
  }
  const document = reports.document(batch)
  // its readings went before there was a place for results
  if (document === undefined) return true
  const text = JSON.stringify(document)
  const entry = uuidv7()
  const ledgerEntries = ledger.head().entries
  results.put({ batch: id, key, entry, ledgerEntries, document: text })
  record(entry, id, text, ledgerEntries, options)
  return true
}

const isFinished = (batch: Batch, nowMs: number): boolean =>
  (batch.discardedAt !== null && nowMs - Date.parse(batch.discardedAt) >= SETTLED_MS) ||
  nowMs - Date.parse(batch.openedAt) >= OVER_ANYWAY_MS

/** The record vouches for them by their hash. Of no batch: it changes nothing of it. */
const record = (
  id: string,
  batch: string,
  document: string,
  ledgerEntries: number,
  { ledger, nowMs, programVersion }: ResultKeeperOptions,
): void => {
  const at = new Date(nowMs()).toISOString()
  ledger.append({
    id,
    happened_at: at,
    entered_at: at,
    bench: null,
    batch: null,
    who: { name: 'Spargewatch', how: 'program' },
    kind: 'results-kept',
    data: {
      batch,
      sha256: hashOfDocument(document),
      ledger_entries: ledgerEntries,
      program: `spargewatch ${programVersion}`,
    },
  })
}

/** Runs the steps until the returned function is called. */
export const startResultKeeper = (options: ResultKeeperOptions): (() => void) => {
  const { step } = createResultKeeper(options)
  let timer = setTimeout(again, FIRST_MS)
  function again() {
    let waitMs = IDLE_MS
    try {
      waitMs = step()
    } catch (error) {
      options.onTrouble(error)
    }
    timer = setTimeout(again, waitMs)
  }
  return () => clearTimeout(timer)
}

/** The screens come first. */
const FIRST_MS = 20_000
