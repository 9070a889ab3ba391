import { readDelivery } from '../../ingest/read-delivery.ts'
import { messageOf } from '../errors.ts'
import type { DeliverySetUp } from '../notify/elsewhere.ts'

/** Who is told of alarms elsewhere, from a home's wiring. A fault is for the screens to tell: they must come up. */
export const deliverySetUp = (home: string, waitScale: number): DeliverySetUp => {
  try {
    const delivery = readDelivery(home)
    return delivery === null ? { kind: 'none' } : { kind: 'set', ...delivery, waitScale }
  } catch (error) {
    return { kind: 'fault', why: messageOf(error) }
  }
}
