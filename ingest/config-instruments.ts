import { z } from 'zod'
import { channelFaults, looseChannel } from './config-channel-faults.ts'
import { fault, notHere, type ReferenceFault, repeated, under } from './config-fault.ts'
import { groupsOf } from './config-pattern.ts'

/** Forgiving about what the schema already tells: one fault must not hide another. */
export const looseInstrument = z
  .looseObject({
    id: z.string().optional().catch(undefined),
    port: z.string().optional().catch(undefined),
    bench: z.string().optional().catch(undefined),
    field_count: z.number().optional().catch(undefined),
    separator: z.string().optional().catch(undefined),
    decimal: z.string().optional().catch(undefined),
    pattern: z.string().optional().catch(undefined),
    wire_addresses: z.boolean().optional().catch(undefined),
    channels: z.array(looseChannel).catch([]),
  })
  .catch({ channels: [] })

export type LooseInstrument = z.infer<typeof looseInstrument>

export interface LoosePort {
  readonly kind: string
  readonly frame: { readonly kind: string }
  readonly [key: string]: unknown
}

/** What an instrument needs, or may not have, for what its port speaks. */
export const instrumentFaults = (
  instrument: LooseInstrument,
  port: LoosePort | undefined,
): ReferenceFault[] => {
  const speaks = port?.frame.kind
  return [
    ...repeated(instrument.channels.map((c) => c.channel)).map((j) =>
      fault(['channels', j, 'channel'], 'needs each channel once per instrument'),
    ),
    ...(speaks === 'modbus-rtu' ? unitFaults(instrument) : []),
    ...(speaks === 'line' ? lineFaults(instrument) : []),
    ...(port?.kind === 'replay' && (speaks === 'modbus-rtu' || instrument['ask'] !== undefined)
      ? [fault(['port'], 'needs a serial or tcp port: a capture that is replayed cannot be asked')]
      : []),
    ...instrument.channels.flatMap((channel, j) =>
      under(['channels', j], channelFaults(channel, instrument, speaks)),
    ),
  ]
}

const LINE_KEYS = ['starts_with', 'separator', 'field_count', 'equals', 'decimal', 'pattern', 'ask']

const unitFaults = (instrument: LooseInstrument): ReferenceFault[] => [
  ...(instrument['address'] === undefined
    ? [
        fault(
          ['address'],
          'needs the address of the unit on the line, 1 to 247, because its port speaks modbus-rtu',
        ),
      ]
    : []),
  ...notHere(instrument, LINE_KEYS, 'needs to go: it is for lines, and this port speaks modbus-rtu'),
]

const lineFaults = (instrument: LooseInstrument): ReferenceFault[] => {
  const { pattern, decimal, separator } = instrument
  return [
    ...notHere(
      instrument,
      ['address', 'wire_addresses'],
      'needs a port with frame: { kind: modbus-rtu }; this one speaks lines',
    ),
    ...(pattern === undefined ? [] : patternFaults(pattern)),
    ...(pattern === undefined
      ? []
      : notHere(
          instrument,
          ['starts_with', 'separator', 'field_count', 'equals'],
          'needs to go: pattern already says how a whole line looks',
        )),
    ...(pattern === undefined && decimal === 'comma' && (separator ?? ',') === ','
      ? [fault(['separator'], 'needs another separator than "," (such as ";") when decimal is comma')]
      : []),
  ]
}

const patternFaults = (pattern: string): ReferenceFault[] => {
  const groups = groupsOf(pattern)
  return 'why' in groups
    ? [fault(['pattern'], `needs a pattern that compiles (RE2 syntax, ${groups.why})`)]
    : []
}

/** On one port all instruments are asked or none: a line that comes unasked could be taken for an answer. */
export const askFaults = (instruments: readonly LooseInstrument[]): ReferenceFault[] =>
  instruments.flatMap((instrument, i) =>
    instrument['ask'] === undefined &&
    instruments.some((other) => other.port === instrument.port && other['ask'] !== undefined)
      ? [
          fault(
            ['instruments', i, 'ask'],
            'needs a text to send, because another instrument of this port has one',
          ),
        ]
      : [],
  )

export const portFaults = (name: string, port: LoosePort): ReferenceFault[] =>
  port.frame.kind === 'modbus-rtu' && port['data_bits'] !== undefined && port['data_bits'] !== 8
    ? [fault(['ports', name, 'data_bits'], 'needs 8 for modbus-rtu, which sends whole bytes')]
    : []
