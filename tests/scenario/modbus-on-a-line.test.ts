import { mkdtempSync, rmSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { afterEach, describe, expect, it, onTestFinished } from 'vitest'
import type { Reading } from '../../ingest/reading/reading.ts'
import { type DaemonAtWork, startDaemonOn } from '../support/daemon-at-work.ts'
import { floatRegisters } from '../support/modbus-bytes.ts'
import {
  createLine,
  type Line,
  type Manner,
  requestsOf,
  startDeviceServer,
  TIMEOUT_S,
  type Unit,
} from '../support/modbus-device.ts'
import { endAll } from '../support/program.ts'
import { canPair, plugIn, unplugAll } from '../support/pty-pair.ts'
import { until } from '../support/until.ts'

afterEach(endAll)
afterEach(unplugAll)

/** Two units on one line. Unit 1: float32 with swapped words at 16, tenths of °C at input 3. Unit 2: hundredths at 0. */
const wiring = (port: string): string => `site: { name: Test clinic, zone: Europe/Lisbon }
benches: [{ id: A }, { id: B }]
ports:
  bus: { ${port}, reopen_after_silence_s: 30, frame: { kind: modbus-rtu, timeout_s: ${TIMEOUT_S} } }
instruments:
  - id: first
    port: bus
    bench: A
    address: 1
    interval_s: 0.2
    channels:
      - { channel: dissolved-ozone, register: 16, type: float32, order: CDAB, unit: ug/mL }
      - { channel: fluid-temperature, register: 3, table: input, type: int16, scale: 0.1, unit: C }
  - id: second
    port: bus
    bench: B
    address: 2
    interval_s: 0.2
    channels:
      - { channel: dissolved-ozone, register: 0, type: uint16, scale: 0.01, unit: ug/mL }
`

/** Numbers that tell which register they are from; anything else is a register nobody should read. */
const twoUnits = () => {
  const held = { ozone: 23.5, tenths: -12, hundredths: 1825 }
  const first: Unit = {
    manner: 'well',
    registers: (table, at) => {
      const [high, low] = floatRegisters(held.ozone)
      if (table === 'input') return at === 3 ? held.tenths & 0xffff : 0xdead
      return at === 16 ? low : at === 17 ? high : 0xdead
    },
  }
  const second: Unit = { manner: 'well', registers: () => held.hundredths }
  return { held, units: { 1: first, 2: second } }
}

const lastOf = (readings: readonly Reading[], channel: string) =>
  readings.findLast((r) => r.series.channel === channel)

/** Nothing but what the units really held was ever stored. */
const expectOnlyTrueValues = (work: DaemonAtWork) => {
  const values = new Set(
    work
      .readings()
      .map((r) => `${r.series.instrument} ${r.series.channel} ${r.value?.toFixed(2)} ${r.quality}`),
  )
  expect([...values].sort()).toEqual([
    'first dissolved-ozone 23.50 good',
    'first fluid-temperature -1.20 good',
    'second dissolved-ozone 18.25 good',
  ])
}

const expectOnlyReads = (line: Line) => {
  expect(line.notRequests).toEqual([])
  expect(new Set(line.asked.map((a) => a.code))).toEqual(new Set([3, 4]))
}

/** Each manner in turn for unit 1, and after each of them well again. */
const goThrough = async (work: DaemonAtWork, unit: Unit) => {
  const manners: readonly [Manner, string][] = [
    [{ refuses: 2 }, 'exception-address'],
    [{ refuses: 6 }, 'exception-busy'],
    ['not', 'no-answer'],
    ['late', 'late-answer'],
    ['torn', 'torn'],
    ['corrupt', 'checksum-wrong'],
    ['as-another', 'other-unit'],
  ]
  for (const [manner, why] of manners) {
    unit.manner = manner
    await until(`discards as ${why}`, () => work.discarded(why) > 0)
    const during = work.readings('first').length
    await work.untilMore(3, 'second')
    expect(work.readings('first').length, `${why}: no reading of the unit that does not answer well`).toBe(
      during,
    )
    unit.manner = 'well'
    await work.untilMore(2, 'first')
  }
  unit.manner = 'in-pieces'
  await work.untilMore(4, 'first')
}

describe('two Modbus units', () => {
  it('behind a device server are read whatever one of them does, and nothing untrue is stored', async () => {
    const { held, units } = twoUnits()
    const line = createLine(units)
    const server = await startDeviceServer((send) => requestsOf((request) => void line.hear(request, send)))
    onTestFinished(() => server.close())
    const work = await startDaemonOn(wiring(`kind: tcp, host: 127.0.0.1, port: ${server.port}`))
    await work.untilMore(6)
    await goThrough(work, units[1])

    server.hangUp()
    await until('the cut to be told', () =>
      work.events().some((e) => e.detail['why'] === 'the other side closed the connection'),
    )
    await work.untilMore(6)
    expectOnlyTrueValues(work)
    expectOnlyReads(line)
    held.ozone = Number.NaN
    const fault = await until('the fault', () => work.readings('first').find((r) => r.quality === 'fault'))
    expect(fault, 'not a number is not 0').toMatchObject({ value: null, raw: null })
    const refused = await until('the event', () =>
      work
        .events()
        .find((e) => e.kind === 'discarded' && JSON.stringify(e.detail).includes('exception-address')),
    )
    expect(JSON.stringify(refused.detail)).toContain('unit 1 refuses: it has no such register')
  })

  it.skipIf(!canPair)(
    'on a serial line are read the same, and found again when the adapter was unplugged',
    async () => {
      const folder = mkdtempSync(join(tmpdir(), 'spargewatch-bus-'))
      onTestFinished(() => rmSync(folder, { recursive: true, force: true }))
      const link = join(folder, 'adapter')
      const { held, units } = twoUnits()
      const line = createLine(units)
      const plug = async () => {
        const cable = await plugIn(link)
        cable.onBytes(requestsOf((request) => void line.hear(request, cable.send)))
        return cable
      }
      const cable = await plug()
      const work = await startDaemonOn(wiring(`kind: serial, device: "${link}", baud: 19200, parity: even`))
      await work.untilMore(6)
      await goThrough(work, units[1])
      expectOnlyTrueValues(work)

      await cable.pull()
      const why = await until('the reason', () => work.status()?.why)
      expect(why).toMatch(/is not there|went away|closed|error|disconnect/i)
      held.ozone = 11.25
      await plug()
      await until('the new value', () => lastOf(work.readings('first'), 'dissolved-ozone')?.value === 11.25)
      expectOnlyReads(line)
    },
  )

  it('whose words are wired the wrong way round are told of, and their numbers left as the wiring says', async () => {
    const { units, held } = twoUnits()
    // with its words swapped 23.4 is 4.17e-8 (Python: struct.unpack('>f', bytes.fromhex('333341bb'))): next to nothing
    held.ozone = 23.4
    const line = createLine(units)
    const server = await startDeviceServer((send) => requestsOf((request) => void line.hear(request, send)))
    onTestFinished(() => server.close())
    const port = `kind: tcp, host: 127.0.0.1, port: ${server.port}`
    const work = await startDaemonOn(wiring(port).replace('CDAB', 'ABCD'))
    const why = await until('the doubt', () => work.status()?.why)
    expect(why).toContain('dissolved-ozone in register 16 looks like swapped words')
    expect(why).toContain('23.4 with CDAB')
    expect(work.status()?.state).toBe('open')
    await until('the event', () =>
      work.events().find((e) => String(e.detail['why']).includes('swapped words')),
    )
    const stored = lastOf(work.readings('first'), 'dissolved-ozone')?.value ?? Number.NaN
    expect(stored, 'not set right behind anyone’s back').toBeLessThan(1e-6)

    const marked = await until('a marked one', () =>
      work.readings('first').find((r) => r.quality === 'out-of-range'),
    )
    expect(marked, 'marked, and kept').toMatchObject({ value: stored, raw: stored })
  })
})
