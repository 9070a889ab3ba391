import { readFileSync } from 'node:fs'
import { isAbsolute, join, resolve } from 'node:path'
import { LineCounter, parseDocument } from 'yaml'
import { z } from 'zod'
import { faultsOf } from './config-faults.ts'
import { IngestError, messageOf } from './errors.ts'
import type { LineFormat } from './frame/line-framer.ts'
import type { SerialSettings } from './port/serial-port.ts'
import type { ChannelMap, LineMap } from './reading/read-line.ts'
import { CHANNELS, type Channel } from './reading/reading.ts'
import { acceptedUnits, toCanonical } from './reading/unit-conversion.ts'

/** The wiring: which instrument on which port measures what at which bench. Parsed once, frozen. */
export interface IngestConfig {
  readonly site: string
  readonly simulated: boolean
  readonly ports: readonly PortConfig[]
  readonly commitIntervalMs: number
}

export interface PortConfig {
  readonly name: string
  readonly source:
    | { readonly kind: 'serial'; readonly settings: SerialSettings }
    | { readonly kind: 'tcp'; readonly host: string; readonly port: number }
    | { readonly kind: 'replay'; readonly file: string; readonly speed: number }
  readonly format: LineFormat
  readonly instruments: readonly (LineMap & { readonly intervalS: number })[]
  readonly silenceMs: number
}

const CONFIG_FILE = 'spargewatch.yaml'
export const configFile = (home: string): string => join(home, CONFIG_FILE)

const name = z
  .string()
  .regex(
    /^[A-Za-z0-9][A-Za-z0-9 ._:-]{0,38}$/,
    'needs 1 to 39 letters, digits, space . _ : or -, starting with a letter or digit',
  )

const frameSettings = z
  .strictObject({
    delimiter: z.string().min(1).max(4).default('\n'),
    max_bytes: z.number().int().min(16).max(4096).default(256),
    checksum: z.enum(['none', 'xor']).default('none'),
  })
  .prefault({})

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

const channel = z.strictObject({
  channel: z.enum(CHANNELS),
  field: z.number().int().min(0).max(63),
  unit: z.string(),
  full_scale: z.number().optional(),
  range: z
    .tuple([z.number(), z.number()])
    .refine(([a, b]) => a < b, 'needs the lower number first')
    .optional(),
  max_change_per_s: z.number().positive().optional(),
})

const instrument = z.strictObject({
  id: name,
  port: z.string(),
  bench: z.string(),
  starts_with: z.string().min(1).max(20).optional(),
  separator: z.string().min(1).max(3).default(','),
  field_count: z.number().int().min(1).max(64).optional(),
  interval_s: z.number().min(0.02).max(3600).default(1),
  channels: z.array(channel).min(1),
})

const fileSchema = z
  .looseObject({
    site: z.looseObject({ name: z.string().min(1).max(80), simulated: z.boolean().default(false) }),
    benches: z.array(z.looseObject({ id: name, simulated: z.boolean().default(false) })).min(1),
    ports: z.record(name, z.discriminatedUnion('kind', [serial, tcp, replay])),
    instruments: z.array(instrument).min(1),
    store: z
      .strictObject({
        kind: z.literal('sqlite').default('sqlite'),
        commit_interval_ms: z.number().int().min(5).max(5000).default(50),
      })
      .prefault({}),
  })
  .superRefine(checkReferences)

type FileSchema = z.infer<typeof fileSchema>

interface CheckedFile {
  readonly site: { readonly simulated: boolean }
  readonly benches: readonly { readonly id: string; readonly simulated: boolean }[]
  readonly ports: Readonly<Record<string, { readonly kind: string }>>
  readonly instruments: readonly z.infer<typeof instrument>[]
}

/** Names that point at nothing, units that do not fit, and the same thing said twice: all of them, not the first. */
function checkReferences(file: CheckedFile, ctx: z.RefinementCtx): void {
  const fault = (path: (string | number)[], message: string, input: unknown) =>
    ctx.addIssue({ code: 'custom', path, message, input })
  const benches = new Set(file.benches.map((b) => b.id))
  const ids = new Set<string>()
  file.benches.forEach((b, i) => {
    if (file.benches.findIndex((other) => other.id === b.id) !== i)
      fault(['benches', i, 'id'], 'needs a name no other bench has', b.id)
  })
  file.instruments.forEach((item, i) => {
    if (!(item.port in file.ports))
      fault(
        ['instruments', i, 'port'],
        `needs one of the ports: ${Object.keys(file.ports).join(', ') || '(none)'}`,
        item.port,
      )
    if (!benches.has(item.bench))
      fault(['instruments', i, 'bench'], `needs one of the benches: ${[...benches].join(', ')}`, item.bench)
    if (
      file.ports[item.port]?.kind === 'replay' &&
      !file.site.simulated &&
      !file.benches.find((b) => b.id === item.bench)?.simulated
    )
      fault(
        ['instruments', i, 'bench'],
        'needs a bench with simulated: true, because its port replays a capture',
        item.bench,
      )
    if (ids.has(item.id)) fault(['instruments', i, 'id'], 'needs a name no other instrument has', item.id)
    ids.add(item.id)
    const seen = new Set<Channel>()
    item.channels.forEach((c, j) => {
      if (!toCanonical(c.channel, c.unit))
        fault(
          ['instruments', i, 'channels', j, 'unit'],
          `needs one of ${acceptedUnits(c.channel).join(', ')} for ${c.channel}`,
          c.unit,
        )
      if (seen.has(c.channel))
        fault(
          ['instruments', i, 'channels', j, 'channel'],
          'needs each channel once per instrument',
          c.channel,
        )
      if (item.field_count !== undefined && c.field >= item.field_count)
        fault(
          ['instruments', i, 'channels', j, 'field'],
          `needs a field below field_count ${item.field_count}; the first field is 0`,
          c.field,
        )
      seen.add(c.channel)
    })
  })
}

/** Reads and checks the wiring of a home folder. Every fault is reported at once, with its line. */
export const readIngestConfig = (home: string): IngestConfig => {
  const path = configFile(home)
  const text = readConfigText(path)
  const lines = new LineCounter()
  const document = parseDocument(text, { lineCounter: lines })
  const parsed = document.errors.length === 0 ? fileSchema.safeParse(document.toJS()) : undefined
  if (parsed?.success) return Object.freeze(toConfig(parsed.data, home))
  const faults = parsed
    ? faultsOf(parsed.error, document, lines)
    : document.errors.map((e) => e.message.split('\n')[0] ?? e.message)
  throw new IngestError(
    'config-invalid',
    `${path} has ${faults.length} ${faults.length === 1 ? 'fault' : 'faults'}:\n${faults.map((f) => `  - ${f}`).join('\n')}`,
    { faults },
  )
}

const readConfigText = (path: string): string => {
  try {
    return readFileSync(path, 'utf8')
  } catch (error) {
    throw new IngestError('config-unreadable', `${path} cannot be read: ${messageOf(error)}`, { path }, error)
  }
}

/** Widest numbers that a channel can really have, when the config gives no range of its own. */
const PLAUSIBLE: Readonly<Record<Channel, readonly [number, number]>> = {
  'dissolved-ozone': [-2, 300],
  'fluid-temperature': [-5, 60],
  'gas-ozone': [-2, 300],
  'gas-flow': [-10, 20_000],
  'room-ozone': [-0.05, 20],
  ph: [0, 14],
  conductivity: [0, 200_000],
  'redox-potential': [-2000, 2000],
  'barometric-pressure': [50, 110],
}

const toConfig = (file: FileSchema, home: string): IngestConfig => ({
  site: file.site.name,
  simulated: file.site.simulated,
  commitIntervalMs: file.store.commit_interval_ms,
  ports: Object.entries(file.ports).map(([portName, p]) => {
    const instruments = file.instruments.filter((i) => i.port === portName)
    const slowest = Math.max(1, ...instruments.map((i) => i.interval_s))
    return {
      name: portName,
      source: sourceOf(p, home),
      format: {
        delimiter: p.frame.delimiter,
        maxBytes: p.frame.max_bytes,
        checksum: p.frame.checksum,
        startsInSync: p.kind === 'replay',
      },
      silenceMs:
        ('reopen_after_silence_s' in p && p.reopen_after_silence_s
          ? p.reopen_after_silence_s
          : Math.max(10, 10 * slowest)) * 1000,
      instruments: instruments.map((i) => ({
        instrument: i.id,
        bench: i.bench,
        separator: i.separator,
        startsWith: i.starts_with,
        fieldCount: i.field_count,
        intervalS: i.interval_s,
        channels: i.channels.map(channelOf),
      })),
    }
  }),
})

const sourceOf = (p: FileSchema['ports'][string], home: string): PortConfig['source'] => {
  switch (p.kind) {
    case 'tcp':
      return { kind: 'tcp', host: p.host, port: p.port }
    case 'replay':
      return { kind: 'replay', file: isAbsolute(p.file) ? p.file : resolve(home, p.file), speed: p.speed }
    case 'serial':
      return {
        kind: 'serial',
        settings: {
          identity: p.usb ? { by: 'usb', ...p.usb } : { by: 'path', path: p.device ?? '' },
          baud: p.baud,
          dataBits: p.data_bits,
          parity: p.parity,
          stopBits: p.stop_bits,
        },
      }
  }
}

const channelOf = (c: z.infer<typeof channel>): ChannelMap => {
  const convert = toCanonical(c.channel, c.unit) ?? ((sent: number) => sent)
  return {
    channel: c.channel,
    field: c.field,
    unit: c.unit,
    convert,
    limits: {
      range: c.range ? [convert(c.range[0]), convert(c.range[1])] : PLAUSIBLE[c.channel],
      fullScale: c.full_scale === undefined ? undefined : convert(c.full_scale),
      maxChangePerS: c.max_change_per_s === undefined ? undefined : convert(c.max_change_per_s) - convert(0),
    },
  }
}
