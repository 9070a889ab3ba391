import { createHash } from 'node:crypto'
import type { DeliverySettings, Priority, Receiver } from '../../ingest/config-delivery.ts'
import type { EntryOf } from '../ledger/entry.ts'
import { changeOf } from './change.ts'
import type { Delivery, Told, What } from './delivery.ts'
import type { DeliveryFile } from './delivery-file.ts'

export interface IntakeOptions {
  readonly file: DeliveryFile
  readonly settings: Pick<DeliverySettings, 'receivers' | 'returned' | 'quietMs'>
  /** An alarm as a message tells of it. */
  readonly toldOf: (entry: EntryOf<'alarm'>) => Told
  /** An alarm that may never wait for a quiet time. */
  readonly isUrgent: (alarm: string) => boolean
  /** On its way at this moment, by its number: it cannot be held back. */
  readonly isUnderWay: (n: number) => boolean
  readonly nowMs: () => number
}

const RAISES: ReadonlySet<What> = new Set(['raised', 'raised-again', 'not-acknowledged'])

/** Writes down who is to be told what of one change of an alarm. To be called inside a transaction. */
export const takeAlarm = (entry: EntryOf<'alarm'>, options: IntakeOptions): void => {
  const told = options.toldOf(entry)
  const change = changeOf(entry.data)
  switch (change) {
    case 'raised':
    case 'raised-again':
      raise(entry, change, told, options)
      break
    case 'seen':
      seen(entry, told.key, options)
      break
    case 'returned':
    case 'no-longer-applies':
      over(entry, change, told.key, options)
      break
    case 'nothing':
      break
    default:
      change satisfies never
  }
}

const raise = (
  entry: EntryOf<'alarm'>,
  what: 'raised' | 'raised-again',
  told: Told,
  { file, settings, isUrgent, nowMs }: IntakeOptions,
): void => {
  const now = nowMs()
  for (const { name, afterMs } of concerned(settings.receivers, told.priority)) {
    const quiet = afterMs === null && !isUrgent(told.alarm) ? settings.quietMs : 0
    const last = quiet === 0 ? null : file.lastRaisedMs(told.key, name)
    const dueMs = last === null ? now + (afterMs ?? 0) : Math.max(now, last + quiet)
    const tells = afterMs === null ? what : 'not-acknowledged'
    file.add({ ...of(entry.id, tells, name), raise: entry.id, told, createdMs: now, dueMs })
  }
  file.stand({ raise: entry.id, told })
}

/** Somebody has dealt with it: whoever was to be told only if nobody did is not told. */
const seen = (entry: EntryOf<'alarm'>, key: string, { file, nowMs, isUnderWay }: IntakeOptions): void => {
  const standing = file.standing(key)
  if (standing === undefined) return
  const how = entry.data.to === 'out-of-service' ? 'taken out of service' : entry.data.to
  file.stand({ ...standing, told: { ...standing.told, seenAt: entry.happened_at } })
  for (const delivery of waitingOf(file, standing.raise)) {
    if (isNotDueYet(delivery, nowMs()) && !isUnderWay(delivery.n))
      file.dismiss(delivery.n, nowMs(), `${how} before it was due`)
    else file.retell(delivery.n, { ...delivery.told, seenAt: entry.happened_at })
  }
}

/**
 * It is over. Who was told of it is told that too, where that is wanted; who could not be told yet is told of both in one
 * message, and never of an alarm that is no more as if it were new.
 */
const over = (
  entry: EntryOf<'alarm'>,
  how: 'returned' | 'no-longer-applies',
  key: string,
  { file, settings, nowMs, isUnderWay }: IntakeOptions,
): void => {
  const standing = file.standing(key)
  if (standing === undefined) return
  const now = nowMs()
  const told: Told = { ...standing.told, over: { at: entry.happened_at, how } }
  const tell = (receiver: string) =>
    file.add({
      ...of(entry.id, 'returned', receiver),
      raise: standing.raise,
      told,
      createdMs: now,
      dueMs: now,
    })
  for (const delivery of file.ofRaise(standing.raise)) {
    if (!RAISES.has(delivery.what)) continue
    if (delivery.state === 'delivered' && settings.returned) tell(delivery.receiver)
    if (delivery.state !== 'waiting') continue
    if (isUnderWay(delivery.n)) tell(delivery.receiver)
    else if (isNotDueYet(delivery, now)) file.dismiss(delivery.n, now, 'over before it was due')
    else {
      file.dismiss(delivery.n, now, TOLD_TOGETHER)
      tell(delivery.receiver)
    }
  }
  file.noLongerStanding(key)
}

export const TOLD_TOGETHER = 'over before it could be told: told together with its end'

/** Held back on purpose, not by trouble. */
const isNotDueYet = ({ firstDueMs, tries }: Delivery, nowMs: number): boolean =>
  tries === 0 && firstDueMs > nowMs

const waitingOf = (file: DeliveryFile, raise: string): Delivery[] =>
  file.ofRaise(raise).filter(({ state, what }) => state === 'waiting' && RAISES.has(what))

const concerned = (receivers: readonly Receiver[], priority: Priority): Receiver[] =>
  receivers.filter(({ priorities }) => priorities.includes(priority))

/** The same for the same entry, message and receiver, whenever it is worked out: a UUID of version 8 (RFC 9562). */
export const idOf = (entry: string, what: What, receiver: string): string => {
  const hex = createHash('sha256').update(`${entry}/${what}/${receiver}`).digest('hex')
  const variant = ((Number.parseInt(hex.charAt(16), 16) & 3) | 8).toString(16)
  return `${hex.slice(0, 8)}-${hex.slice(8, 12)}-8${hex.slice(13, 16)}-${variant}${hex.slice(17, 20)}-${hex.slice(20, 32)}`
}

const of = (entry: string, what: What, receiver: string) => ({
  id: idOf(entry, what, receiver),
  what,
  receiver,
})
