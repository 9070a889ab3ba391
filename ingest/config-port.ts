import { isAbsolute, resolve } from 'node:path'
import { RE2JS } from 're2js'
import { lineChannelOf, registerChannelOf } from './config-channel.ts'
import type { FileSchema, InstrumentSchema, PortSchema } from './config-schema.ts'
import type { Ask } from './frame/line-answer.ts'
import type { LineFormat } from './frame/line-framer.ts'
import type { Patience } from './frame/modbus-questions.ts'
import type { SerialSettings } from './port/serial-port.ts'
import type { LineMap } from './reading/read-line.ts'
import type { RegisterMap } from './reading/read-registers.ts'

export type PortConfig = Speech & {
  readonly name: string
  readonly source:
    | { readonly kind: 'serial'; readonly settings: SerialSettings }
    | { readonly kind: 'tcp'; readonly host: string; readonly port: number }
    | { readonly kind: 'replay'; readonly file: string; readonly speed: number }
  readonly silenceMs: number
  /** All that is wired to it, as text: a port whose text stays the same needs no restart. */
  readonly wiring: string
}

/** What is spoken on a port, and with whom. */
export type Speech = LineSpeech | ModbusSpeech

export interface LineSpeech {
  readonly speaks: 'line'
  readonly format: LineFormat
  readonly instruments: readonly LineInstrument[]
}

export interface ModbusSpeech {
  readonly speaks: 'modbus-rtu'
  readonly patience: Patience
  /** Silence between an answer and the next request. */
  readonly pauseMs: number
  readonly instruments: readonly RegisterInstrument[]
}

export interface LineInstrument extends LineMap {
  readonly intervalS: number
  /** What to send for an answer; undefined: the meter speaks by itself. */
  readonly ask?: Ask | undefined
}

export interface RegisterInstrument extends RegisterMap {
  readonly intervalS: number
}

export type InstrumentConfig = LineInstrument | RegisterInstrument

export const portOf = (
  name: string,
  port: PortSchema,
  file: Pick<FileSchema, 'instruments'>,
  home: string,
): PortConfig => {
  const instruments = file.instruments.filter((i) => i.port === name)
  const slowest = Math.max(1, ...instruments.map((i) => i.interval_s))
  const silenceS = 'reopen_after_silence_s' in port ? port.reopen_after_silence_s : undefined
  return {
    name,
    source: sourceOf(port, home),
    silenceMs: (silenceS ?? Math.max(10, 10 * slowest)) * 1000,
    wiring: JSON.stringify([port, instruments]),
    ...speechOf(port, instruments),
  }
}

const sourceOf = (p: PortSchema, home: string): PortConfig['source'] => {
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

const speechOf = (port: PortSchema, instruments: readonly InstrumentSchema[]): Speech => {
  const { frame } = port
  if (frame.kind === 'modbus-rtu')
    return {
      speaks: 'modbus-rtu',
      patience: { timeoutMs: frame.timeout_s * 1000, retries: frame.retries },
      pauseMs: pauseMs(port),
      instruments: instruments.map(registerInstrumentOf),
    }
  return {
    speaks: 'line',
    format: {
      delimiter: frame.delimiter,
      maxBytes: frame.max_bytes,
      checksum: frame.checksum,
      startsInSync: port.kind === 'replay',
    },
    instruments: instruments.map(lineInstrumentOf),
  }
}

/**
 * Silence due between two frames: 3.5 characters of 11 bits, at least 1.75 ms (Modbus over serial line, guide V1.02,
 * 2.5.1.1), and as much again because neither the timer nor the adapter is exact. The speed behind a network device
 * server is not known here; 9600 baud is taken.
 */
const pauseMs = (port: PortSchema): number =>
  2 * Math.max(1.75, (3.5 * 11 * 1000) / (port.kind === 'serial' ? port.baud : 9600))

const lineInstrumentOf = (i: InstrumentSchema): LineInstrument => ({
  instrument: i.id,
  bench: i.bench,
  separator: i.separator ?? ',',
  startsWith: i.starts_with,
  fieldCount: i.field_count,
  equals: i.equals,
  decimal: i.decimal,
  pattern: i.pattern === undefined ? undefined : RE2JS.compile(i.pattern),
  intervalS: i.interval_s,
  ask: i.ask && { text: i.ask.text, timeoutMs: i.ask.timeout_s * 1000, retries: i.ask.retries },
  channels: i.channels.map(lineChannelOf),
})

const registerInstrumentOf = (i: InstrumentSchema): RegisterInstrument => ({
  instrument: i.id,
  bench: i.bench,
  address: i.address ?? 0,
  intervalS: i.interval_s,
  channels: i.channels.map(registerChannelOf),
})
