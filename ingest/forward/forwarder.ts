import type { Log } from '../log.ts'
import { type Reading, seriesName } from '../reading/reading.ts'
import type { InfluxConnection } from '../store/influx-connection.ts'
import { lineOf, noteLine, notesOf } from '../store/influx-line.ts'
import type { ForwardStatus, Outbox, RefusedItem, Sent } from '../store/outbox.ts'
import type { SqliteStore } from '../store/sqlite-store.ts'
import type { TimeUs } from '../units.ts'
import { deliver, type Refused } from './deliver.ts'
import { createSending, type Sending, type SendingOptions, type SendOutcome } from './sending.ts'

export interface ForwarderOptions {
  /** The local file, on a connection that never writes. */
  readonly store: Pick<SqliteStore, 'after' | 'newestSeq' | 'db'>
  readonly outbox: Outbox
  readonly connection: InfluxConnection
  readonly site: string
  readonly version: 1 | 2 | 3
  readonly log: Pick<Log, 'info' | 'warn' | 'error'>
  readonly now: () => TimeUs
  readonly wait: SendingOptions<Reading>['wait']
}

const AT_ONCE = 5000

/**
 * Sends readings in order of arrival. Nothing counts as sent until the server has acknowledged the batch and the
 * delivery notes that speak of it; a batch may therefore come twice, which changes nothing there.
 */
export const createForwarder = (options: ForwarderOptions): Sending => {
  const { store, outbox, connection, log, wait } = options
  return createSending<Reading>({
    what: 'readings',
    atOnce: AT_ONCE,
    begin: () => beginAgainIfNew(options),
    next: () => store.after(outbox.sent(connection.name).seq, AT_ONCE),
    send: (batch) => sendBatch(options, batch, outbox.sent(connection.name)),
    report: (state, why) => outbox.report(statusOf(options, state, why)),
    log,
    wait,
  })
}

/** As the outbox lists it. */
export const refusedItem = ({ item: { seq, series, timeUs }, words }: Refused<Reading>): RefusedItem => ({
  seq,
  series: seriesName(series),
  timeUs,
  words,
})

const sendBatch = async (
  { outbox, connection, site, now }: ForwarderOptions,
  batch: readonly Reading[],
  sent: Sent,
): Promise<SendOutcome> => {
  const delivery = await deliver(batch, {
    write: (lines) => connection.write(lines),
    lineOf: (reading) => lineOf(site, reading),
  })
  if (delivery.kind === 'broken-off') return delivery
  // a viewer goes by the times of notes: they grow although the clock may step back
  const noteUs = Math.max(now(), sent.noteUs + 1) as TimeUs
  const notes = notesOf(delivery.taken, noteUs)
  if (notes.length > 0) {
    const noted = await connection.write(notes.map((note) => noteLine(site, note)))
    if (noted.kind === 'unreachable' || noted.kind === 'not-let-in')
      return { kind: 'broken-off', outcome: noted }
    if (noted.kind === 'refused')
      return {
        kind: 'broken-off',
        outcome: { kind: 'not-let-in', why: `it refuses delivery notes: ${noted.words}` },
      }
  }
  const last = batch.at(-1)
  if (last !== undefined)
    outbox.advance(
      connection.name,
      { seq: last.seq, timeUs: last.timeUs, noteUs },
      delivery.refused.map(refusedItem),
      now(),
    )
  return {
    kind: 'done',
    refused: delivery.refused.length,
    words: delivery.refused[0]?.words ?? null,
  }
}

/**
 * Another place, or a local file that is not the one of last time (a back-up brought back: its numbers are given
 * out anew): everything is sent from the beginning. What is there already is written over with itself.
 */
const beginAgainIfNew = ({ store, outbox, connection, log }: ForwarderOptions): void => {
  const known = outbox.place()
  const sent = outbox.sent(connection.name)
  if (known === connection.name && isStillThere(store, sent)) return
  if (known !== undefined)
    log.warn(
      { place: connection.name },
      'the place or the local file is another one: everything is sent again',
    )
  outbox.beginAgain(connection.name, sent.noteUs)
}

const isStillThere = (store: ForwarderOptions['store'], sent: Sent): boolean => {
  if (sent.seq === 0) return true
  if (store.newestSeq() < sent.seq) return isPruned(store, sent.seq)
  const next = store.after(sent.seq - 1, 1)[0]
  // retention may have taken it
  return next === undefined || next.seq > sent.seq || next.timeUs === sent.timeUs
}

/** No reading at all is left, yet the file has given out that number: retention took them. */
const isPruned = ({ db }: ForwarderOptions['store'], seq: number): boolean =>
  Number(db.prepare("SELECT seq FROM sqlite_sequence WHERE name = 'reading'").pluck().get() ?? 0) >= seq

const statusOf = (
  { store, outbox, connection, version, now }: ForwarderOptions,
  state: ForwardStatus['state'],
  why: string | null,
): ForwardStatus => {
  const { seq } = outbox.sent(connection.name)
  const waiting = Number(store.db.prepare('SELECT count(*) FROM reading WHERE seq > ?').pluck().get(seq))
  return {
    timeUs: now(),
    place: connection.name,
    version,
    state,
    why,
    waiting,
    oldestUs: store.after(seq, 1)[0]?.timeUs ?? null,
    seq,
  }
}
