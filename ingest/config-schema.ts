import { z } from 'zod'
import { deliverySchema } from './config-delivery.ts'
import { influxSchema } from './config-influx.ts'
import { CHANNELS } from './reading/reading.ts'
import { REGISTER_TYPES, WORD_ORDERS } from './reading/register-value.ts'

/** Shape of the wiring file: every key, its range and its default. Names that point at others: `config-references.ts`. */

const name = z
  .string()
  .regex(
    /^[A-Za-z0-9][A-Za-z0-9 ._:-]{0,38}$/,
    'needs 1 to 39 letters, digits, space . _ : or -, starting with a letter or digit',
  )

const timeout = z.number().min(0.05).max(30).default(1)
const retries = z.number().int().min(0).max(5).default(1)

const lineFrame = z.strictObject({
  kind: z.literal('line'),
  delimiter: z.string().min(1).max(4).default('\n'),
  max_bytes: z.number().int().min(16).max(4096).default(256),
  checksum: z.enum(['none', 'xor', 'crc16']).default('none'),
})

const modbusFrame = z.strictObject({ kind: z.literal('modbus-rtu'), timeout_s: timeout, retries })

/** Lines unless something else is said. */
const frameSettings = z
  .preprocess(
    (given) => (isPlainObject(given) && !('kind' in given) ? { ...given, kind: 'line' } : given),
    z.discriminatedUnion('kind', [lineFrame, modbusFrame], { error: 'needs kind line or modbus-rtu' }),
  )
  .prefault({})

const isPlainObject = (given: unknown): given is object =>
  typeof given === 'object' && given !== null && !Array.isArray(given)

const usb = z.strictObject({
  vendor: z.string().regex(/^[0-9a-fA-F]{4}$/, 'needs four hexadecimal digits in quotes'),
  product: z.string().regex(/^[0-9a-fA-F]{4}$/, 'needs four hexadecimal digits in quotes'),
  serial: z.string().min(1).optional(),
})

const silence = z.number().min(5).max(3600).optional()

const serial = z
  .strictObject({
    kind: z.literal('serial'),
    device: z.string().min(1).optional(),
    usb: usb.optional(),
    baud: z.number().int().min(110).max(4_000_000),
    data_bits: z.union([z.literal(5), z.literal(6), z.literal(7), z.literal(8)]).default(8),
    parity: z.enum(['none', 'even', 'odd']).default('none'),
    stop_bits: z.union([z.literal(1), z.literal(1.5), z.literal(2)]).default(1),
    frame: frameSettings,
    reopen_after_silence_s: silence,
  })
  .refine((p) => (p.device === undefined) !== (p.usb === undefined), {
    path: ['device'],
    message: 'needs either device (a path) or usb (vendor, product, serial), one of the two',
  })

const tcp = z.strictObject({
  kind: z.literal('tcp'),
  host: z.string().min(1),
  port: z.number().int().min(1).max(65_535),
  frame: frameSettings,
  reopen_after_silence_s: silence,
})

const replay = z.strictObject({
  kind: z.literal('replay'),
  file: z.string().min(1),
  speed: z.number().positive().max(10_000).default(1),
  frame: frameSettings,
})

/** Which of these a channel needs depends on what its port speaks: `config-instruments.ts`. */
const channel = z.strictObject({
  channel: z.enum(CHANNELS),
  field: z.number().int().min(0).max(63).optional(),
  key: z.string().min(1).max(40).optional(),
  group: z.string().min(1).max(40).optional(),
  register: z.number().int().min(0).max(65_535).optional(),
  table: z.enum(['holding', 'input']).optional(),
  type: z.enum(REGISTER_TYPES).optional(),
  order: z.enum(WORD_ORDERS).optional(),
  unit: z.string(),
  scale: z.number().optional(),
  offset: z.number().optional(),
  at_4ma: z.number().optional(),
  at_20ma: z.number().optional(),
  full_scale: z.number().optional(),
  range: z
    .tuple([z.number(), z.number()])
    .refine(([a, b]) => a < b, 'needs the lower number first')
    .optional(),
  max_change_per_s: z.number().positive().optional(),
})

export const portSchema = z.discriminatedUnion('kind', [serial, tcp, replay], {
  error: 'needs kind serial, tcp or replay',
})

export const ask = z.strictObject({ text: z.string().min(1).max(80), timeout_s: timeout, retries })

const instrument = z.strictObject({
  id: name,
  port: z.string(),
  bench: z.string(),
  address: z.number().int().min(1).max(247).optional(),
  wire_addresses: z.boolean().default(false),
  starts_with: z.string().min(1).max(20).optional(),
  separator: z.string().min(1).max(3).optional(),
  field_count: z.number().int().min(1).max(64).optional(),
  equals: z.string().min(1).max(3).optional(),
  decimal: z.enum(['point', 'comma']).optional(),
  pattern: z.string().min(1).max(500).optional(),
  ask: ask.optional(),
  interval_s: z.number().min(0.02).max(3600).default(1),
  channels: z.array(channel).min(1),
})

const isZone = (zone: string): boolean => {
  try {
    new Intl.DateTimeFormat('en', { timeZone: zone })
    return true
  } catch {
    return false
  }
}

const site = z.strictObject({
  name: z.string().min(1).max(80),
  zone: z.string().refine(isZone, 'needs an IANA time zone such as Europe/Madrid'),
  simulated: z.boolean().default(false),
})

const bench = z.strictObject({
  id: name,
  name: z.string().min(1).max(60).optional(),
  simulated: z.boolean().default(false),
  control_port: z.number().int().min(1).max(65_535).optional(),
})

/** Strict at every level: a misspelt key is a fault, never a silent default. */
export const fileSchema = z.strictObject({
  site,
  benches: z.array(bench).min(1),
  ports: z.record(name, portSchema),
  instruments: z.array(instrument).min(1),
  store: z
    .strictObject({
      kind: z.literal('sqlite').default('sqlite'),
      commit_interval_ms: z.number().int().min(5).max(5000).default(50),
      // a batch may be open for a day and its readings must be there until its end
      keep_raw_days: z.number().int().min(2, 'needs at least 2 days').max(36_500).optional(),
      influx: influxSchema.optional(),
    })
    .prefault({}),
  delivery: deliverySchema.optional(),
  // the server's own: it checks what is in it
  web: z.looseObject({}).optional(),
})

export type FileSchema = z.infer<typeof fileSchema>
export type PortSchema = FileSchema['ports'][string]
export type InstrumentSchema = z.infer<typeof instrument>
export type ChannelSchema = z.infer<typeof channel>
