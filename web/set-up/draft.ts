/** A meter while it is being set up: everything as typed. Empty text: not said. */
export interface MeterDraft {
  /** `device:PATH` as listed, `path` or `network` as typed, `port:NAME` of the wiring. */
  readonly place: string
  readonly path: string
  readonly host: string
  readonly tcp_port: string
  readonly baud: string
  readonly data_bits: string
  readonly parity: string
  readonly stop_bits: string
  readonly speaks: 'line' | 'modbus-rtu'
  readonly delimiter: string
  readonly checksum: string
  /** What the meter is asked; empty: it speaks by itself. Written with \r and \n. */
  readonly ask: string
  readonly interval_s: string
  readonly address: string
  readonly table: string
  readonly start: string
  readonly count: string
  readonly separator: string
  readonly decimal: string
  readonly equals: string
  readonly starts_with: string
  readonly field_count: string
  readonly channels: readonly ChannelDraft[]
  readonly port_name: string
  readonly id: string
  readonly bench: string
  readonly site_name: string
  readonly zone: string
  readonly bench_name: string
}

export interface ChannelDraft {
  readonly channel: string
  readonly unit: string
  /** Position in the line, or the name before the sign; `by` says which. */
  readonly by: 'field' | 'key' | 'register'
  readonly place: string
  readonly table: string
  readonly type: string
  readonly order: string
  readonly scale: string
  readonly at_4ma: string
  readonly at_20ma: string
  readonly full_scale: string
}

export const EMPTY_CHANNEL: ChannelDraft = {
  channel: '',
  unit: '',
  by: 'field',
  place: '',
  table: 'holding',
  type: 'float32',
  order: 'ABCD',
  scale: '',
  at_4ma: '',
  at_20ma: '',
  full_scale: '',
}

/** The settings that most meters come with. Common practice, no source. */
export const EMPTY_DRAFT: MeterDraft = {
  place: '',
  path: '',
  host: '',
  tcp_port: '',
  baud: '9600',
  data_bits: '8',
  parity: 'none',
  stop_bits: '1',
  speaks: 'line',
  delimiter: '\n',
  checksum: 'none',
  ask: '',
  interval_s: '1',
  address: '1',
  table: 'holding',
  start: '0',
  count: '2',
  separator: ',',
  decimal: 'point',
  equals: '=',
  starts_with: '',
  field_count: '',
  channels: [],
  port_name: 'meter',
  id: 'meter',
  bench: '',
  site_name: '',
  zone: '',
  bench_name: 'Bench A',
}

const ESCAPES: Readonly<Record<string, string>> = { '\\r': '\r', '\\n': '\n', '\\t': '\t', '\\\\': '\\' }

/** `VALUE?\r` as typed to the text that is sent. */
export const textOfEscapes = (typed: string): string =>
  typed.replace(/\\[rnt\\]|\\x[0-9a-fA-F]{2}/g, (found) =>
    found.startsWith('\\x')
      ? String.fromCharCode(Number.parseInt(found.slice(2), 16))
      : (ESCAPES[found] ?? found),
  )

export const escapesOfText = (text: string): string =>
  Array.from(text, (char) => {
    const known = Object.entries(ESCAPES).find(([, plain]) => plain === char)?.[0]
    if (known !== undefined) return known
    const code = char.charCodeAt(0)
    return code < 32 || code > 126 ? `\\x${code.toString(16).padStart(2, '0')}` : char
  }).join('')
