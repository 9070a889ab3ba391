import { deliver } from '../../ingest/forward/deliver.ts'
import { createSending, type Sending, type SendingOptions } from '../../ingest/forward/sending.ts'
import type { InfluxConnection } from '../../ingest/store/influx-connection.ts'
import type { ForwardStatus, Outbox } from '../../ingest/store/outbox.ts'
import { type TimeUs, timeUs } from '../../ingest/units.ts'
import type { Entry } from '../ledger/entry.ts'
import type { Ledger } from '../ledger/ledger.ts'
import { entryLine, usOf } from './entry-line.ts'

export interface MirrorOptions extends Pick<SendingOptions<Entry>, 'log' | 'wait'> {
  /** The record, on a connection that never writes. */
  readonly ledger: Pick<Ledger, 'after' | 'head'>
  readonly outbox: Outbox
  readonly connection: InfluxConnection
  readonly site: string
  readonly version: 1 | 2 | 3
  readonly now: () => TimeUs
}

const AT_ONCE = 1000

/**
 * Sends the entries of the record on, in order. The record's truth stays the local file; this is a copy to read. An entry
 * counts as sent when the server has acknowledged it; it may come twice, which changes nothing there.
 */
export const createMirror = (options: MirrorOptions): Sending => {
  const { ledger, outbox, connection, site, log, wait, now } = options
  const sentSeq = () => outbox.sent(connection.name).seq
  return createSending<Entry>({
    what: 'entries of the record',
    atOnce: AT_ONCE,
    begin: () => beginAgainIfNew(options),
    next: () => ledger.after(sentSeq(), AT_ONCE),
    send: async (batch) => {
      const delivery = await deliver(batch, {
        write: (lines) => connection.write(lines),
        lineOf: (entry) => entryLine(site, entry),
      })
      if (delivery.kind === 'broken-off') return delivery
      const refused = delivery.refused.map(({ item, words }) => ({
        seq: item.seq,
        series: item.kind,
        timeUs: timeUs(usOf(item)),
        words,
      }))
      const last = batch.at(-1)
      if (last) outbox.advance(connection.name, sentAt(last), refused, now())
      return { kind: 'done', refused: refused.length, words: refused[0]?.words ?? null }
    },
    report: (state, why) => outbox.report(statusOf(options, state, why)),
    log,
    wait,
  })
}

const sentAt = (entry: Entry) => ({ seq: entry.seq, timeUs: timeUs(usOf(entry)), noteUs: timeUs(0) })

/** Another place, or a record that is not the one of last time (a back-up brought back): all is sent from the first entry. */
const beginAgainIfNew = ({ ledger, outbox, connection, log }: MirrorOptions): void => {
  const known = outbox.place()
  const sent = outbox.sent(connection.name)
  const there = sent.seq === 0 ? undefined : ledger.after(sent.seq - 1, 1)[0]
  const isSame = sent.seq === 0 || (there?.seq === sent.seq && usOf(there) === sent.timeUs)
  if (known === connection.name && isSame) return
  if (known !== undefined)
    log.warn({ place: connection.name }, 'the place or the record is another one: every entry is sent again')
  outbox.beginAgain(connection.name, timeUs(0))
}

const statusOf = (
  { ledger, outbox, connection, version, now }: MirrorOptions,
  state: ForwardStatus['state'],
  why: string | null,
): ForwardStatus => {
  const { seq } = outbox.sent(connection.name)
  const oldest = ledger.after(seq, 1)[0]
  return {
    timeUs: now(),
    place: connection.name,
    version,
    state,
    why,
    waiting: ledger.head().entries - seq,
    oldestUs: oldest ? timeUs(Date.parse(oldest.entered_at) * 1000) : null,
    seq,
  }
}
