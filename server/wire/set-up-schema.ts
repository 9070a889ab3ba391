import { z } from 'zod'
import { CHANNELS, QUALITIES } from '../../ingest/reading/reading.ts'

/** Setting up a meter: what is plugged in, what it sends, how that is wired. Times: `mono_ms` is uptime. */

const name = z.string().min(1).max(40)
const settings = z.record(z.string(), z.unknown())

const identity = z.discriminatedUnion('by', [
  z.object({ by: z.literal('path'), path: z.string() }),
  z.object({ by: z.literal('usb'), vendor: z.string(), product: z.string(), serial: z.string().optional() }),
])

const device = z.object({
  path: z.string(),
  description: z.string().nullable(),
  vendor: z.string().nullable(),
  product: z.string().nullable(),
  serial: z.string().nullable(),
  by_id: z.string().nullable(),
  by_path: z.string().nullable(),
  stable: identity.nullable().meta({ description: 'stays the same when the adapter is plugged in again' }),
  socket_only: z.boolean().meta({ description: 'told apart by its USB socket only' }),
  port: z.string().nullable().meta({ description: 'of the wiring, that holds it' }),
  instruments: z.array(z.string()),
  barred: z.string().nullable().meta({ description: 'why it may not be opened, and what to do' }),
})

/** GET /api/ports */
export const portsAnswer = z.object({
  devices: z.array(device),
  missing: z.array(z.object({ port: z.string(), instruments: z.array(z.string()), why: z.string() })),
  ports: z.array(
    z.object({
      port: z.string(),
      kind: z.enum(['serial', 'tcp', 'replay']),
      where: z.string(),
      instruments: z.array(z.string()),
      state: z.string().nullable(),
      why: z.string().nullable(),
    }),
  ),
  user: z.string().meta({ description: 'the program runs as' }),
  listening: z.object({ possible: z.boolean(), why: z.string().nullable() }),
})

/** POST /api/ports/listen: a port of the wiring, or one that is opened for listening only. */
export const listenWanted = z.union([
  z.strictObject({ port: name }),
  z.strictObject({
    trial: z.strictObject({
      port: settings.meta({ description: 'as under ports in spargewatch.yaml; serial or tcp' }),
      ask: z
        .strictObject({
          text: z.string().min(1).max(80),
          timeout_s: z.number().optional(),
          retries: z.number().optional(),
        })
        .optional(),
      registers: z
        .strictObject({
          address: z.number(),
          table: z.enum(['holding', 'input']),
          start: z.number(),
          count: z.number(),
        })
        .optional(),
      interval_s: z.number().optional(),
    }),
  }),
])

const line = z.strictObject({ kind: z.literal('line'), mono_ms: z.number(), text: z.string().max(4096) })
const registers = z.strictObject({
  kind: z.literal('registers'),
  mono_ms: z.number(),
  table: z.enum(['holding', 'input']),
  start: z.number().int().min(0).max(65_535),
  words: z.array(z.number().int().min(0).max(65_535)).max(125),
})

/** POST /api/ports/try */
export const tryWanted = z.strictObject({
  port: settings,
  instrument: settings.meta({
    description: 'as one of instruments in spargewatch.yaml, without port and bench',
  }),
  frames: z.array(z.discriminatedUnion('kind', [line, registers])).max(60),
})

export const tryAnswer = z.object({
  faults: z.array(z.string()),
  read: z.number(),
  discarded: z.array(z.object({ why: z.string(), count: z.number() })),
  values: z.array(
    z.object({
      instrument: z.string(),
      channel: z.enum(CHANNELS),
      value: z.number().nullable(),
      unit: z.string(),
      quality: z.enum(QUALITIES),
    }),
  ),
  doubt: z.string().nullable(),
})

/** GET /api/wiring */
export const wiringAnswer = z.object({
  file: z.string(),
  version: z.string().nullable().meta({ description: 'null: there is no file yet' }),
  demo: z
    .boolean()
    .meta({ description: 'the demonstration runs; the file is the one of the clinic beside it' }),
  faults: z.array(z.string()).meta({ description: 'of the file as it stands; nothing can be saved before' }),
  benches: z.array(z.object({ id: z.string(), name: z.string() })),
  ports: z.record(z.string(), settings),
  instruments: z.array(settings),
  channels: z.array(z.object({ channel: z.enum(CHANNELS), unit: z.string(), accepted: z.array(z.string()) })),
})

/** POST /api/wiring, and without `expected` POST /api/wiring/check */
export const wiringWanted = z.strictObject({
  port: z.strictObject({ name, settings }),
  instrument: z.looseObject({ id: name }),
  replaces: z.boolean().default(false),
  site: z.strictObject({ name: z.string(), zone: z.string() }).optional(),
  bench: z.strictObject({ id: z.string(), name: z.string() }).optional(),
})

export const wiringChange = wiringWanted.extend({
  expected: z.string().nullable().meta({ description: 'the version that was read' }),
})

export const wiringChecked = z.object({ faults: z.array(z.string()) })

export const wiringSaved = z.object({
  file: z.string(),
  version: z.string(),
  previous: z.string().nullable().meta({ description: 'where the last version is kept' }),
  effect: z.enum(['within-seconds', 'next-start']),
})
