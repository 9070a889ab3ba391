import type { Priority } from '../../ingest/config-delivery.ts'

/** Why somebody is told. `not-acknowledged`: nobody has acknowledged it for the time that was set. */
export type What = 'raised' | 'raised-again' | 'not-acknowledged' | 'returned'

/** What a message says of an alarm, as it was recorded. Nothing in it was typed by a person at the bench. */
export interface Told {
  /** Bench and alarm, or `site:` and alarm. */
  readonly key: string
  readonly alarm: string
  /** Null for an alarm of the whole site. */
  readonly bench: { readonly id: string; readonly name: string } | null
  /** The number people can say. */
  readonly batch: string | null
  readonly priority: Priority
  readonly text: string
  readonly whatToDo: string | null
  readonly raisedAt: string
  readonly over: { readonly at: string; readonly how: 'returned' | 'no-longer-applies' } | null
  /** Seen by somebody since it was raised: acknowledged, shelved or taken out of service. */
  readonly seenAt: string | null
  readonly simulated: boolean
}

/**
 * `waiting`: until it is due, or for another try. `not-needed`: somebody acknowledged before it was due, or it was over
 * before it could be told. `gave-up`: tried for days.
 */
export type DeliveryState = 'waiting' | 'delivered' | 'refused' | 'gave-up' | 'not-needed'

/** One message to one receiver. */
export interface Delivery {
  readonly n: number
  /** The same at every try: receivers know by it what they have already. */
  readonly id: string
  /** The entry of the record by which the alarm was raised. */
  readonly raise: string
  readonly receiver: string
  readonly what: What
  readonly told: Told
  readonly createdMs: number
  /** When it was first to go out, ms. */
  readonly firstDueMs: number
  readonly dueMs: number
  readonly state: DeliveryState
  readonly tries: number
  readonly triedMs: number | null
  readonly doneMs: number | null
  /** The last trouble, or why it is not needed, in plain words. */
  readonly words: string | null
}

export type NewDelivery = Pick<
  Delivery,
  'id' | 'raise' | 'receiver' | 'what' | 'told' | 'createdMs' | 'dueMs'
>
