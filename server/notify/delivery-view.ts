import type { Receiver } from '../../ingest/config-delivery.ts'
import type { Deliveries, Health } from '../wire.ts'
import type { Delivery } from './delivery.ts'
import type { DeliveryFile } from './delivery-file.ts'
import type { Elsewhere } from './elsewhere.ts'
import type { LaneSeen } from './lane.ts'

/** What `/api/deliveries` answers, the newest `limit` messages in it. */
export const deliveriesView = (elsewhere: Elsewhere, limit: number): Deliveries => {
  const { setUp, file } = elsewhere
  if (setUp.kind !== 'set' || file === null)
    return {
      set_up: setUp.kind,
      fault: setUp.kind === 'fault' ? setUp.why : null,
      receivers: [],
      heartbeat: null,
      deliveries: [],
    }
  const ways = elsewhere.ways()
  return {
    set_up: 'set',
    fault: null,
    receivers: setUp.settings.receivers.map((receiver) => receiverView(receiver, ways, file)),
    heartbeat: heartbeatView(elsewhere),
    deliveries: file.newest(limit).map(deliveryView),
  }
}

const iso = (ms: number | null): string | null => (ms === null ? null : new Date(ms).toISOString())

const receiverView = (
  { name, to, priorities, afterMs }: Receiver,
  ways: readonly LaneSeen[],
  file: DeliveryFile,
): Deliveries['receivers'][number] => {
  const way = ways.find(({ receivers }) => receivers.includes(name))
  return {
    name,
    by: to.kind,
    to: to.kind === 'mail' ? to.address : new URL(to.url).host,
    priorities: [...priorities],
    after_min: afterMs === null ? null : afterMs / 60_000,
    state: way?.state ?? 'working',
    why: way?.why ?? null,
    next_try_at: iso(way?.nextMs ?? null),
    last_delivered_at: iso(file.lastDeliveredMs(name)),
  }
}

const heartbeatView = ({ setUp, heartbeat }: Elsewhere): Deliveries['heartbeat'] => {
  if (setUp.kind !== 'set' || setUp.settings.heartbeat === null) return null
  const { url, everyMs } = setUp.settings.heartbeat
  const seen = heartbeat()
  return {
    to: new URL(url).host,
    every_s: everyMs / 1000,
    last_at: iso(seen?.lastDoneMs ?? null),
    why: seen?.why ?? null,
  }
}

const deliveryView = (delivery: Delivery): Deliveries['deliveries'][number] => {
  const { told } = delivery
  return {
    id: delivery.id,
    receiver: delivery.receiver,
    what: delivery.what,
    key: told.key,
    bench: told.bench?.id ?? null,
    batch: told.batch,
    priority: told.priority,
    text: told.text,
    simulated: told.simulated,
    raised_at: told.raisedAt,
    due_at: new Date(delivery.firstDueMs).toISOString(),
    state: delivery.state,
    tries: delivery.tries,
    tried_at: iso(delivery.triedMs),
    done_at: iso(delivery.doneMs),
    words: delivery.words,
  }
}

/** Part of `/api/health`. */
export const deliveryHealthView = ({ file, seen }: Elsewhere): Health['delivery'] => {
  const now = seen()
  if (now === 'none') return null
  return {
    fault: now.fault,
    waiting: file?.waiting().filter(({ tries }) => tries > 0).length ?? 0,
    not_reached: [...new Set([...now.notReached, ...now.refusedBy])],
  }
}
