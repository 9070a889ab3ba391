import { readFileSync } from 'node:fs'
import { isAbsolute, join, resolve } from 'node:path'
import { LineCounter, parseDocument } from 'yaml'
import { faultsOf, referencesOf } from './config-faults.ts'
import { type ChannelSchema, type FileSchema, fileSchema } from './config-schema.ts'
import { IngestError, messageOf } from './errors.ts'
import type { LineFormat } from './frame/line-framer.ts'
import type { SerialSettings } from './port/serial-port.ts'
import { PLAUSIBLE_RANGE } from './reading/quality.ts'
import type { ChannelMap, LineMap } from './reading/read-line.ts'
import { toCanonical } from './reading/unit-conversion.ts'

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

/** Reads and checks the wiring of a home folder. Every fault is reported at once, with its line. */
export const readIngestConfig = (home: string): IngestConfig => {
  const path = configFile(home)
  const text = readConfigText(path)
  const lines = new LineCounter()
  const document = parseDocument(text, { lineCounter: lines })
  const faults = document.errors.map((e) => e.message.split('\n')[0] ?? e.message)
  const raw: unknown = faults.length === 0 ? document.toJS() : undefined
  const parsed = fileSchema.safeParse(raw)
  if (raw !== undefined)
    faults.push(
      ...faultsOf(parsed.error?.issues ?? [], document, lines),
      ...referencesOf(raw, document, lines),
    )
  if (parsed.success && faults.length === 0) return Object.freeze(toConfig(parsed.data, home))
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

const channelOf = (c: ChannelSchema): ChannelMap => {
  const convert = toCanonical(c.channel, c.unit) ?? ((sent: number) => sent)
  return {
    channel: c.channel,
    field: c.field,
    unit: c.unit,
    convert,
    limits: {
      range: c.range ? [convert(c.range[0]), convert(c.range[1])] : PLAUSIBLE_RANGE[c.channel],
      fullScale: c.full_scale === undefined ? undefined : convert(c.full_scale),
      maxChangePerS: c.max_change_per_s === undefined ? undefined : convert(c.max_change_per_s) - convert(0),
    },
  }
}
