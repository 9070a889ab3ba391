import type { WiringFile } from '../../server/wire.ts'
import { type ChannelDraft, EMPTY_CHANNEL, EMPTY_DRAFT, escapesOfText, type MeterDraft } from './draft.ts'
import type { Before } from './settings.ts'

type Tree = Readonly<Record<string, unknown>>

export interface Change {
  readonly draft: MeterDraft
  readonly before: Before
  /** Why this screen cannot change it; null when it can. */
  readonly fixed: string | null
}

/** An instrument of the file, ready to be changed; null when the file has none of that name. */
export const changeOf = (wiring: WiringFile, id: string): Change | null => {
  const instrument = wiring.instruments.find((i) => i['id'] === id)
  const name = String(instrument?.['port'])
  const port = wiring.ports[name]
  if (instrument === undefined || port === undefined) return null
  return {
    draft: {
      ...ofPort(port, EMPTY_DRAFT),
      ...ofInstrument(instrument),
      place: `port:${name}`,
      port_name: name,
    },
    before: { port, instrument },
    fixed:
      instrument['pattern'] === undefined
        ? null
        : `${id} is read by a pattern, which is changed in ${wiring.file}. Here you can only listen.`,
  }
}

/** How a wired port speaks, into a draft. */
export const ofPort = (port: Tree, draft: MeterDraft): MeterDraft => {
  const frame = (port['frame'] ?? {}) as Tree
  return {
    ...draft,
    baud: text(port['baud'], draft.baud),
    data_bits: text(port['data_bits'], '8'),
    parity: text(port['parity'], 'none'),
    stop_bits: text(port['stop_bits'], '1'),
    speaks: frame['kind'] === 'modbus-rtu' ? 'modbus-rtu' : 'line',
    delimiter: text(frame['delimiter'], '\n'),
    checksum: text(frame['checksum'], 'none'),
  }
}

const ofInstrument = (instrument: Tree): Partial<MeterDraft> => {
  const ask = (instrument['ask'] ?? {}) as Tree
  const channels = Array.isArray(instrument['channels']) ? (instrument['channels'] as Tree[]) : []
  return {
    id: text(instrument['id'], ''),
    bench: text(instrument['bench'], ''),
    address: text(instrument['address'], '1'),
    starts_with: text(instrument['starts_with'], ''),
    separator: text(instrument['separator'], ','),
    equals: text(instrument['equals'], '='),
    decimal: text(instrument['decimal'], 'point'),
    field_count: text(instrument['field_count'], ''),
    ask: escapesOfText(text(ask['text'], '')),
    interval_s: text(instrument['interval_s'], '1'),
    channels: channels.map(ofChannel),
  }
}

const ofChannel = (channel: Tree): ChannelDraft => {
  const by = channel['register'] !== undefined ? 'register' : channel['key'] !== undefined ? 'key' : 'field'
  return {
    ...EMPTY_CHANNEL,
    channel: text(channel['channel'], ''),
    unit: text(channel['unit'], ''),
    by,
    place: text(channel[by], ''),
    table: text(channel['table'], 'holding'),
    type: text(channel['type'], 'float32'),
    order: text(channel['order'], 'ABCD'),
    scale: text(channel['scale'], ''),
    at_4ma: text(channel['at_4ma'], ''),
    at_20ma: text(channel['at_20ma'], ''),
    full_scale: text(channel['full_scale'], ''),
  }
}

const text = (value: unknown, otherwise: string): string => (value === undefined ? otherwise : String(value))
