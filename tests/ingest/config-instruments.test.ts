import { writeFileSync } from 'node:fs'
import { join } from 'node:path'
import { describe, expect, it } from 'vitest'
import { readIngestConfig } from '../../ingest/config.ts'
import { temporaryFolder } from '../support/temporary-folder.ts'

const read = (text: string) => {
  const home = temporaryFolder()
  writeFileSync(join(home, 'spargewatch.yaml'), text)
  return readIngestConfig(home)
}

const faultsOf = (text: string): string => {
  try {
    read(text)
  } catch (error) {
    return error instanceof Error ? error.message : String(error)
  }
  return 'no fault'
}

const wiring = (
  frame: string,
  instrument: string,
  channel: string,
  port = 'kind: tcp, host: h, port: 4000',
) => `
site: { name: Test clinic, zone: UTC }
benches: [{ id: A, simulated: true }]
ports:
  bus: { ${port}, frame: { ${frame} } }
instruments:
  - { id: meter, port: bus, bench: A, ${instrument} channels: [{ ${channel} }] }
`
const O3 = 'channel: dissolved-ozone, unit: mg/L'
const modbus = (instrument: string, channel: string, port?: string) =>
  wiring('kind: modbus-rtu', instrument, channel, port)
const line = (instrument: string, channel: string, port?: string) => wiring('', instrument, channel, port)

describe('the wiring of a Modbus unit', () => {
  const GOOD = modbus('address: 7,', `${O3}, register: 16, type: float32, order: CDAB, scale: 2, offset: 1`)

  it('is read with its defaults', () => {
    const [port] = read(GOOD).ports
    expect(port).toMatchObject({
      speaks: 'modbus-rtu',
      patience: { timeoutMs: 1000, retries: 1 },
      instruments: [
        { address: 7, channels: [{ table: 'holding', register: 16, type: 'float32', order: 'CDAB' }] },
      ],
    })
    expect(port?.instruments[0]?.channels[0]?.convert(10), 'number × scale + offset').toBe(21)
  })

  it('marks a float that is too small to be one', () => {
    const signal = read(GOOD).ports[0]?.instruments[0]?.channels[0]?.signal
    // 23.5 with its words swapped (Python: struct.unpack('>f', bytes.fromhex('000041bc')))
    expect(signal?.(2.358105055765802e-41)).toBe('out-of-range')
    expect([0, 1e-30, -0.02].map((sent) => signal?.(sent))).toEqual([undefined, undefined, undefined])
  })

  it.each([
    [40_001, 'holding', 0],
    [40_108, 'holding', 107],
    [30_010, 'input', 9],
  ])('with the documentation number %s is refused and explained', (number, table, register) => {
    const said = faultsOf(GOOD.replace('register: 16', `register: ${number}`))
    expect(said).toContain('has 1 fault')
    expect(said).toContain(`documentation number ${number} is table: ${table}, register: ${register};`)
    expect(said).toContain(`got ${number}`)
  })

  it('with such a number that really is on the wire can say so', () => {
    const sure = GOOD.replace('register: 16', 'register: 40001').replace(
      'address: 7',
      'address: 7, wire_addresses: true',
    )
    expect(faultsOf(sure)).toBe('no fault')
  })

  it('names everything that is missing or belongs to lines, all at once', () => {
    const said = faultsOf(modbus('separator: ";", ask: { text: x },', `${O3}, field: 2`))
    expect(said).toContain('has 6 faults')
    for (const part of [
      'instruments[0].address (line 7) needs the address of the unit on the line, 1 to 247',
      'instruments[0].separator (line 7) needs to go: it is for lines',
      'instruments[0].ask (line 7) needs to go: it is for lines',
      'instruments[0].channels[0].field (line 7) needs to go: it is for lines',
      'instruments[0].channels[0].register (line 7) needs the wire address of the register, counted from 0, got nothing',
      'instruments[0].channels[0].type (line 7) needs int16, uint16, int32, uint32 or float32',
    ])
      expect(said).toContain(part)
  })

  it('with a type, order, address or time-out that cannot be is refused', () => {
    expect(faultsOf(GOOD.replace('float32', 'double'))).toMatch(
      /channels\[0\].type .* needs .*float32.*, got "double"/,
    )
    expect(faultsOf(GOOD.replace('CDAB', 'ABDC'))).toMatch(/order .* needs .*DCBA.*, got "ABDC"/)
    expect(faultsOf(GOOD.replace('address: 7', 'address: 300'))).toMatch(/address .*got 300/)
    expect(faultsOf(GOOD.replace('modbus-rtu', 'modbus-rtu, timeout_s: 0'))).toMatch(
      /frame.timeout_s .*got 0/,
    )
    expect(faultsOf(GOOD.replace('modbus-rtu', 'modbus-tcp'))).toMatch(
      /ports.bus.frame.kind \(line 5\) needs kind line or modbus-rtu, got "modbus-tcp"/,
    )
    expect(faultsOf(GOOD.replace('modbus-rtu', 'modbus-rtu, delimiter: x'))).toContain('frame.delimiter')
  })

  it('needs whole bytes on a serial port, and a port that can be asked', () => {
    expect(
      faultsOf(
        modbus(
          'address: 7,',
          `${O3}, register: 1, type: int16`,
          'kind: serial, device: /dev/x, baud: 9600, data_bits: 7',
        ),
      ),
    ).toContain('ports.bus.data_bits (line 5) needs 8 for modbus-rtu, which sends whole bytes, got 7')
    expect(
      faultsOf(modbus('address: 7,', `${O3}, register: 1, type: int16`, 'kind: replay, file: x')),
    ).toContain('needs a serial or tcp port: a capture that is replayed cannot be asked')
  })
})

describe('the wiring of a line', () => {
  it.each([
    ['', `${O3}, field: 2`],
    ['separator: ";",', `${O3}, key: O3`],
    ['separator: ";", decimal: comma,', `${O3}, field: 2`],
    ["pattern: 'O3 (?P<o3>[0-9.]+)',", `${O3}, group: o3`],
    ['ask: { text: "READ\\r" },', `${O3}, field: 0`],
  ])('may be %s with %s', (instrument, channel) => {
    expect(faultsOf(line(instrument, channel))).toBe('no fault')
  })

  it.each([
    ['', O3, 'channels[0].field (line 7) needs either field (position in the line, the first is 0) or key'],
    ['', `${O3}, field: 1, key: x`, 'needs either field'],
    ['', `${O3}, group: x`, 'channels[0].group (line 7) needs pattern, with a group of this name'],
    [
      "pattern: '(?P<o3>[0-9.]+',",
      `${O3}, group: o3`,
      'instruments[0].pattern (line 7) needs a pattern that compiles (RE2 syntax, error parsing regexp: missing',
    ],
    [
      "pattern: '(?P<o3>[0-9.]+)',",
      `${O3}, group: o4`,
      'channels[0].group (line 7) needs a named group of pattern, written (?P<name>...): o3, got "o4"',
    ],
    ["pattern: '[0-9.]+',", O3, 'which has none yet, got nothing'],
    [
      "pattern: '(?P<o3>.+)', starts_with: O3,",
      `${O3}, group: o3`,
      'starts_with (line 7) needs to go: pattern already says',
    ],
    ['decimal: comma,', `${O3}, field: 1`, 'separator (line 7) needs another separator than ","'],
    ['address: 7,', `${O3}, field: 1`, 'address (line 7) needs a port with frame: { kind: modbus-rtu }'],
    ['', `${O3}, field: 1, register: 4`, 'register (line 7) needs a port with frame: { kind: modbus-rtu }'],
    ['', `${O3}, field: 1, at_4ma: 0`, 'at_4ma (line 7) needs unit: mA'],
    [
      '',
      'channel: dissolved-ozone, unit: mA, field: 1',
      'at_20ma (line 7) needs the measured value at this current',
    ],
    [
      '',
      'channel: dissolved-ozone, unit: mA, field: 1, at_4ma: 0, at_20ma: 0',
      'needs a number above at_4ma 0, got 0',
    ],
    [
      '',
      'channel: dissolved-ozone, unit: mA, field: 1, at_4ma: 0, at_20ma: 50, full_scale: 50',
      'full scale of a current is at_20ma',
    ],
    ['', 'channel: dissolved-ozone, unit: ohm, field: 1', 'needs one of mg/L'],
  ])('with %s and %s is refused', (instrument, channel, said) => {
    const faults = faultsOf(line(instrument, channel))
    expect(faults).toContain(said)
  })

  it('asks all instruments of a port or none', () => {
    const text = `${line('ask: { text: "READ\\r" },', `${O3}, field: 0`)}  - { id: second, port: bus, bench: A, channels: [{ ${O3}, field: 0 }] }\n`
    expect(faultsOf(text)).toContain(
      'instruments[1].ask (line 8) needs a text to send, because another instrument of this port has one, got nothing',
    )
  })

  it('reads a current and a Pt100 into the unit that is stored', () => {
    const current = read(line('', 'channel: dissolved-ozone, unit: mA, field: 1, at_4ma: 0, at_20ma: 50'))
      .ports[0]
    expect(current?.instruments[0]?.channels[0]?.convert(12)).toBe(25)
    expect(current?.instruments[0]?.channels[0]?.limits.fullScale).toBe(50)
    const pt100 = read(line('', 'channel: fluid-temperature, unit: ohm, field: 1, scale: 0.01')).ports[0]
    // 109.7347 Ω at 25 °C by IEC 60751
    expect(pt100?.instruments[0]?.channels[0]?.convert(10_973.47)).toBeCloseTo(25, 3)
    expect(pt100?.instruments[0]?.channels[0]?.signal?.(0)).toBe('fault')
  })

  it('limits how fast dissolved ozone can change when nothing is said, and nothing else', () => {
    const limitsOf = (text: string) => read(text).ports[0]?.instruments[0]?.channels[0]?.limits
    expect(limitsOf(line('', `${O3}, field: 1`))?.maxChangePerS).toBe(10)
    expect(limitsOf(line('', `${O3}, field: 1, max_change_per_s: 3`))?.maxChangePerS).toBe(3)
    expect(limitsOf(line('', 'channel: ph, unit: pH, field: 1'))?.maxChangePerS).toBeUndefined()
  })
})
