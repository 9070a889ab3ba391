import { z } from 'zod'
import { time } from './basics-schema.ts'

/** Who is told of alarms beyond the screens, and what came of it. Times are ISO 8601 in UTC. */

const priority = z.enum(['high', 'medium', 'low'])

export const receiverView = z.object({
  name: z.string(),
  by: z.enum(['mail', 'webhook']),
  to: z
    .string()
    .meta({ description: 'mail address, or host of a webhook; its whole address is told nowhere' }),
  priorities: z.array(priority),
  after_min: z
    .number()
    .nullable()
    .meta({ description: 'told only when nobody has acknowledged for so long; null: told at once' }),
  state: z.enum(['working', 'waiting', 'not-let-in']),
  why: z.string().nullable(),
  next_try_at: time.nullable(),
  last_delivered_at: time.nullable(),
})

export const deliveryView = z.object({
  id: z.string().meta({ description: 'the same at every try: in Message-ID and Idempotency-Key' }),
  receiver: z.string(),
  what: z.enum(['raised', 'raised-again', 'not-acknowledged', 'returned']),
  key: z.string().meta({ description: 'bench and alarm, as in /api/alarms' }),
  bench: z.string().nullable(),
  batch: z.string().nullable(),
  priority,
  text: z.string(),
  simulated: z.boolean(),
  raised_at: time,
  due_at: time.meta({ description: 'when it was first to go out' }),
  state: z.enum(['waiting', 'delivered', 'refused', 'gave-up', 'not-needed']),
  tries: z.number(),
  tried_at: time.nullable(),
  done_at: time.nullable(),
  words: z.string().nullable().meta({ description: 'the last trouble, or why it is not needed' }),
})

export const deliveries = z.object({
  set_up: z.enum(['none', 'fault', 'set']),
  fault: z.string().nullable().meta({ description: 'why the settings cannot be used' }),
  receivers: z.array(receiverView),
  heartbeat: z
    .object({
      to: z.string(),
      every_s: z.number(),
      last_at: time.nullable(),
      why: z.string().nullable().meta({ description: 'why the last one did not get through' }),
    })
    .nullable(),
  deliveries: z.array(deliveryView).meta({ description: 'newest first' }),
})

/** In `/api/health`; null where nobody is told elsewhere. */
export const deliveryHealth = z
  .object({
    fault: z.string().nullable(),
    waiting: z.number().meta({ description: 'messages that were tried and not delivered yet' }),
    not_reached: z.array(z.string()).meta({ description: 'receivers that messages do not get to' }),
  })
  .nullable()
