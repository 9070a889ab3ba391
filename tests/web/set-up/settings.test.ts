import { describe, expect, it } from 'vitest'
import { parse, stringify } from 'yaml'
import { wiringFaults } from '../../../ingest/tap/wiring.ts'
import type { WiringFile } from '../../../server/wire.ts'
import {
  EMPTY_CHANNEL,
  EMPTY_DRAFT,
  escapesOfText,
  type MeterDraft,
  textOfEscapes,
} from '../../../web/set-up/draft.ts'
import { changeOf } from '../../../web/set-up/from-wiring.ts'
import { instrumentSettings, listenTo, portSettings } from '../../../web/set-up/settings.ts'
import { FAKE_PORTS } from '../../support/fake-ports.ts'

const WIRED = parse(`
ports:
  meter-a:
    kind: serial
    usb: { vendor: "0403", product: "6001", serial: "A1B2C3" }
    baud: 9600
    frame: { delimiter: "\\r\\n", checksum: xor, max_bytes: 300 }
    reopen_after_silence_s: 30
  keyed: { kind: tcp, host: h, port: 1 }
  bus: { kind: serial, device: /dev/x, baud: 19200, parity: even, data_bits: 8, frame: { kind: modbus-rtu, timeout_s: 0.5 } }
instruments:
  - id: meter-a
    port: meter-a
    bench: A
    starts_with: SPGW
    field_count: 6
    interval_s: 1
    channels:
      - { channel: dissolved-ozone, field: 2, unit: ug/mL, full_scale: 50, max_change_per_s: 3 }
      - { channel: fluid-temperature, field: 4, unit: C }
  - id: keyed
    port: keyed
    bench: A
    separator: ";"
    decimal: comma
    ask: { text: "VALUE?\\r", timeout_s: 2 }
    interval_s: 2
    channels: [{ channel: dissolved-ozone, key: O3, unit: mA, at_4ma: 0, at_20ma: 50 }]
  - id: unit-7
    port: bus
    bench: A
    address: 7
    interval_s: 1
    channels:
      - { channel: dissolved-ozone, register: 16, type: float32, order: CDAB, unit: ug/mL }
      - { channel: fluid-temperature, register: 3, table: input, type: int16, scale: 0.1, unit: C }
`) as Pick<WiringFile, 'ports' | 'instruments'>
const wiring: WiringFile = {
  file: 'f',
  version: 'v',
  demo: false,
  faults: [],
  benches: [],
  channels: [],
  ...WIRED,
}

/** Faults of a file that holds just this. */
const faultsOf = (draft: MeterDraft): readonly string[] =>
  wiringFaults(
    stringify({
      site: { name: 'Test', zone: 'Europe/Lisbon' },
      benches: [{ id: 'A' }],
      ports: { p: portSettings(draft, FAKE_PORTS.devices, { ports: {} }) },
      instruments: [{ ...instrumentSettings(draft), port: 'p' }],
    }),
    '.',
  )
const DRAFT: MeterDraft = {
  ...EMPTY_DRAFT,
  place: 'path',
  path: '/dev/serial/by-id/x',
  bench: 'A',
  channels: [{ ...EMPTY_CHANNEL, channel: 'dissolved-ozone', unit: 'ug/mL', place: '1' }],
}

describe('an instrument opened for a change', () => {
  it.each(['meter-a', 'keyed', 'unit-7'])('and not changed gives the same file: %s', (id) => {
    const change = changeOf(wiring, id)
    if (!change) throw new Error('not found')
    const { draft, before } = change
    const { port, ...rest } = before.instrument
    expect(portSettings(draft, [], wiring, before)).toEqual(before.port)
    expect({ ...instrumentSettings(draft, before), port }).toEqual({ ...rest, port })
    expect(change.fixed).toBeNull()
  })

  it('by a pattern is left to the file', () => {
    const instruments = [{ id: 'x', port: 'keyed', pattern: '(?P<a>.*)', channels: [] }]
    expect(changeOf({ ...wiring, instruments }, 'x')?.fixed).toMatch(/pattern/)
    expect(changeOf(wiring, 'nobody')).toBeNull()
  })
})

describe('a new meter as typed', () => {
  it('is what the program accepts, as lines and as Modbus', () => {
    expect(faultsOf(DRAFT)).toEqual([])
    expect(
      faultsOf({ ...DRAFT, ask: 'READ?\\r\\n', delimiter: '\r', checksum: 'crc16', parity: 'odd' }),
    ).toEqual([])
    const register = {
      ...EMPTY_CHANNEL,
      by: 'register',
      channel: 'ph',
      unit: 'pH',
      place: '16',
      type: 'int16',
    } as const
    expect(faultsOf({ ...DRAFT, speaks: 'modbus-rtu', channels: [register] })).toEqual([])
    expect(faultsOf({ ...DRAFT, place: 'network', host: '192.0.2.7', tcp_port: '4001' })).toEqual([])
  })

  it('names the device by what stays the same', () => {
    const at = (path: string) =>
      portSettings({ ...DRAFT, place: `device:${path}` }, FAKE_PORTS.devices, { ports: {} })
    expect(at('/dev/ttyUSB0')).toMatchObject({ usb: { vendor: '0403', product: '6001', serial: 'A1B2C3' } })
    expect(at('/dev/ttyUSB1')).toMatchObject({ device: expect.stringContaining('/dev/serial/by-path/') })
    expect(at('/dev/ttyUSB2')).toMatchObject({ device: '/dev/ttyUSB2' })
    expect(at('/dev/ttyUSB9')).toBeNull()
  })

  it('keeps what is no number as it was typed, so that the fault can name it', () => {
    expect(faultsOf({ ...DRAFT, baud: 'fast' }).join()).toMatch(/baud .*needs.* got "fast"/)
    expect(faultsOf({ ...DRAFT, field_count: 'six' }).join()).toMatch(/field_count .* got "six"/)
  })

  it('is listened to with its own settings, a wired port with none', () => {
    const settings = portSettings(DRAFT, [], { ports: {} })
    expect(listenTo({ ...DRAFT, ask: 'V?\\r' }, settings, null)).toMatchObject({
      trial: { ask: { text: 'V?\r' } },
    })
    expect(listenTo(DRAFT, settings, null)).not.toHaveProperty('trial.ask')
    expect(listenTo(DRAFT, settings, 'meter-a')).toEqual({ port: 'meter-a' })
    expect(listenTo(EMPTY_DRAFT, null, null)).toBeNull()
  })

  it('writes what cannot be seen with a backslash, there and back', () => {
    for (const text of ['VALUE?\r', 'a\\r\n', '\x05\t', 'x'])
      expect(textOfEscapes(escapesOfText(text)), JSON.stringify(text)).toBe(text)
    expect(textOfEscapes('VALUE?\\r')).toBe('VALUE?\r')
  })
})
