import type { Receiver } from '../../ingest/config-delivery.ts'
import { alarmKey } from '../alarm/alarm-board.ts'
import type { DeliverySeen } from '../alarm/site-alarm-view.ts'
import type { DeliveryFile } from './delivery-file.ts'
import type { LaneSeen } from './lane.ts'

const DAY_MS = 86_400_000
/** The alarm about delivery is no proof of anything about delivery: it would keep itself up for ever. */
const OWN_ALARM = alarmKey(null, 'delivery-failing')

export const REACHED: DeliverySeen = {
  fault: null,
  oldestTriedS: null,
  notLetIn: false,
  notReached: [],
  refusedBy: [],
}

/** How well those are reached who are to be told. */
export const seenOf = (
  file: DeliveryFile,
  ways: readonly LaneSeen[],
  receivers: readonly Receiver[],
  nowMs: number,
): DeliverySeen => {
  const tried = file.waiting().filter(({ tries }) => tries > 0)
  const oldestMs = Math.min(...tried.map(({ firstDueMs }) => firstDueMs))
  return {
    fault: null,
    oldestTriedS: tried.length === 0 ? null : Math.max(0, nowMs - oldestMs) / 1000,
    notLetIn: ways.some(({ state }) => state === 'not-let-in'),
    notReached: [...new Set(tried.map(({ receiver }) => receiver))],
    refusedBy: receivers.map(({ name }) => name).filter((name) => refusesNow(file, name, nowMs)),
  }
}

/** Its last answer was no, not longer ago than a day; what was delivered since says otherwise. */
const refusesNow = (file: DeliveryFile, receiver: string, nowMs: number): boolean => {
  const last = file.lastFinal(receiver, OWN_ALARM)
  return last !== undefined && last.state !== 'delivered' && nowMs - (last.doneMs ?? 0) < DAY_MS
}
