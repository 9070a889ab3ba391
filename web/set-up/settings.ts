import type { ListenWanted, PortsFound, WiringFile, WiringWanted } from '../../server/wire.ts'
import { numberTyped } from '../typed/typed.ts'
import { type ChannelDraft, type MeterDraft, textOfEscapes } from './draft.ts'

type Tree = Readonly<Record<string, unknown>>

/** What was in the file before: keys that this screen does not show stay as they are. */
export interface Before {
  readonly port: Tree
  readonly instrument: Tree
}

/** Settings of the port as they stand under `ports` in the file; null while it is not chosen. */
export const portSettings = (
  draft: MeterDraft,
  devices: PortsFound['devices'],
  wiring: Pick<WiringFile, 'ports'>,
  before?: Before,
): Tree | null => {
  const wired = wiredName(draft)
  if (wired !== null && before === undefined) return wiring.ports[wired] ?? null
  const place = before === undefined ? placeSettings(draft, devices) : before.port
  if (place === null) return null
  const frame = (before?.port['frame'] ?? {}) as Tree
  return {
    ...place,
    ...(place['kind'] === 'serial' ? serialSettings(draft, place) : {}),
    ...frameSettings(draft, frame),
  }
}

/** Name of the wired port that is chosen; null when another place is. */
export const wiredName = ({ place }: Pick<MeterDraft, 'place'>): string | null =>
  place.startsWith('port:') ? place.slice(5) : null

const placeSettings = (draft: MeterDraft, devices: PortsFound['devices']): Tree | null => {
  const { place, path, host } = draft
  if (place === 'network')
    return host.trim() === '' ? null : { kind: 'tcp', host: host.trim(), port: whole(draft.tcp_port) }
  if (place === 'path') return path.trim() === '' ? null : { kind: 'serial', device: path.trim() }
  const device = devices.find((d) => `device:${d.path}` === place)
  if (device === undefined) return null
  const { stable } = device
  if (stable === null) return { kind: 'serial', device: device.path }
  if (stable.by === 'path') return { kind: 'serial', device: stable.path }
  const { by: _, ...usb } = stable
  return { kind: 'serial', usb }
}

const serialSettings = (draft: MeterDraft, place: Tree): Tree => ({
  baud: whole(draft.baud),
  ...said('data_bits', whole(draft.data_bits), 8, place),
  ...said('parity', draft.parity, 'none', place),
  ...said('stop_bits', numberTyped(draft.stop_bits), 1, place),
})

const frameSettings = (draft: MeterDraft, before: Tree): Tree => {
  const { kind: _, ...rest } = before
  if (draft.speaks === 'modbus-rtu') {
    const { delimiter: _d, checksum: _c, max_bytes: _m, ...kept } = rest
    return { frame: { kind: 'modbus-rtu', ...kept } }
  }
  const { timeout_s: _t, retries: _r, ...kept } = rest
  const frame = {
    ...('kind' in before && before['kind'] === 'line' ? { kind: 'line' } : {}),
    ...kept,
    ...said('delimiter', draft.delimiter, '\n', before),
    ...said('checksum', draft.checksum, 'none', before),
  }
  return Object.keys(frame).length === 0 ? {} : { frame }
}

/** What is the default anyway is only written where it stood before. */
const said = (key: string, value: unknown, byDefault: unknown, before: Tree): Tree =>
  value === byDefault && !(key in before) ? {} : { [key]: value }

/** The instrument as it stands in the file, without its port. */
export const instrumentSettings = (draft: MeterDraft, before?: Before): WiringWanted['instrument'] => {
  const old = before?.instrument ?? {}
  const { port: _, channels: oldChannels, ...kept } = old
  const olds = Array.isArray(oldChannels) ? (oldChannels as Tree[]) : []
  const isLine = draft.speaks === 'line'
  return plain({
    ...kept,
    id: draft.id.trim(),
    bench: draft.bench,
    address: isLine ? undefined : whole(draft.address),
    starts_with: isLine ? orNothing(draft.starts_with) : undefined,
    separator: isLine ? unlessDefault(draft.separator, ',', old['separator']) : undefined,
    equals: isLine ? unlessDefault(draft.equals, '=', old['equals']) : undefined,
    decimal: isLine ? unlessDefault(draft.decimal, 'point', old['decimal']) : undefined,
    field_count: isLine ? (numberTyped(draft.field_count) ?? orNothing(draft.field_count)) : undefined,
    ask: isLine && draft.ask !== '' ? { ...(old['ask'] as Tree), text: textOfEscapes(draft.ask) } : undefined,
    interval_s: numberTyped(draft.interval_s) ?? draft.interval_s,
    channels: draft.channels.map((c) =>
      channelSettings(c, olds.find((o) => o['channel'] === c.channel) ?? {}, isLine),
    ),
  }) as WiringWanted['instrument']
}

const channelSettings = (c: ChannelDraft, old: Tree, isLine: boolean): Tree =>
  plain({
    ...old,
    channel: c.channel,
    field: isLine && c.by === 'field' ? whole(c.place) : undefined,
    key: isLine && c.by === 'key' ? c.place : undefined,
    register: isLine ? undefined : whole(c.place),
    table: isLine ? undefined : unlessDefault(c.table, 'holding', old['table']),
    type: isLine ? undefined : c.type,
    order: isLine ? undefined : unlessDefault(c.order, 'ABCD', old['order']),
    scale: number(c.scale),
    unit: c.unit,
    at_4ma: c.unit === 'mA' ? number(c.at_4ma) : undefined,
    at_20ma: c.unit === 'mA' ? number(c.at_20ma) : undefined,
    full_scale: c.unit === 'mA' ? undefined : number(c.full_scale),
  })

/** How to listen to it as it stands on screen; null while the place is not chosen. */
export const listenTo = (
  draft: MeterDraft,
  settings: Tree | null,
  atWork: string | null,
): ListenWanted | null => {
  if (atWork !== null) return { port: atWork }
  if (settings === null) return null
  const interval = numberTyped(draft.interval_s)
  return {
    trial: {
      port: settings,
      ...(draft.speaks === 'line' && draft.ask !== '' ? { ask: { text: textOfEscapes(draft.ask) } } : {}),
      ...(draft.speaks === 'modbus-rtu'
        ? {
            registers: {
              address: numberTyped(draft.address) ?? 0,
              table: draft.table === 'input' ? 'input' : 'holding',
              start: numberTyped(draft.start) ?? -1,
              count: numberTyped(draft.count) ?? 0,
            },
          }
        : {}),
      ...(interval === null ? {} : { interval_s: interval }),
    },
  }
}

const whole = (typed: string): unknown => numberTyped(typed) ?? typed
const number = (typed: string): unknown => (typed.trim() === '' ? undefined : whole(typed))
const orNothing = (typed: string): string | undefined => (typed.trim() === '' ? undefined : typed.trim())
const unlessDefault = (value: string, byDefault: string, old: unknown): string | undefined =>
  value === byDefault && old === undefined ? undefined : value

const plain = (tree: Tree): Tree =>
  Object.fromEntries(Object.entries(tree).filter(([, v]) => v !== undefined))
