import { mkdtempSync, rmSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { afterEach, describe, expect, it, onTestFinished } from 'vitest'
import { startDaemonOn } from '../support/daemon-at-work.ts'
import { startDeviceServer } from '../support/modbus-device.ts'
import { endAll } from '../support/program.ts'
import { canPair, plugIn, unplugAll } from '../support/pty-pair.ts'
import { pause, until } from '../support/until.ts'

afterEach(endAll)
afterEach(unplugAll)

/** `meter` is the rest of the instrument; its lines end with CR LF. */
const wiring = (port: string, meter: string): string => `site: { name: Test clinic, zone: Europe/Lisbon }
benches: [{ id: A }]
ports:
  meter: { ${port}, frame: { delimiter: "\\r\\n" } }
instruments:
  - { id: meter, port: meter, bench: A, interval_s: 0.2, ${meter} }
`
const ASKED = `separator: ";", decimal: comma, ask: { text: "VALUE?\\r", timeout_s: 0.4 },
      channels: [{ channel: dissolved-ozone, field: 0, unit: ug/mL }, { channel: fluid-temperature, field: 1, unit: C }]`

/** Answers `VALUE?` and nothing else, in its manner. */
const askedMeter = () => {
  const meter = { manner: 'well' as 'well' | 'not' | 'late', said: '23,40;5,12\r\n', strange: [] as string[] }
  let held = ''
  const hear = (bytes: Buffer, send: (bytes: Buffer) => unknown) => {
    held += bytes.toString('latin1')
    const questions = held.split('\r')
    held = questions.pop() ?? ''
    for (const question of questions) {
      if (question !== 'VALUE?') meter.strange.push(question)
      else if (meter.manner === 'well') send(Buffer.from(meter.said))
      else if (meter.manner === 'late') void pause(600).then(() => send(Buffer.from(meter.said)))
    }
  }
  return Object.assign(meter, { hear })
}

describe('a meter that answers only when asked', () => {
  it.skipIf(!canPair)('on a serial line is asked on the beat, and its silence is counted', async () => {
    const folder = mkdtempSync(join(tmpdir(), 'spargewatch-asked-'))
    onTestFinished(() => rmSync(folder, { recursive: true, force: true }))
    const link = join(folder, 'adapter')
    const cable = await plugIn(link)
    const meter = askedMeter()
    cable.onBytes((bytes) => meter.hear(bytes, cable.send))
    const work = await startDaemonOn(wiring(`kind: serial, device: "${link}", baud: 9600`, ASKED))
    const stored = await work.untilMore(10)
    expect(new Set(stored.map((r) => `${r.series.channel} ${r.value} ${r.quality}`))).toEqual(
      new Set(['dissolved-ozone 23.4 good', 'fluid-temperature 5.12 good']),
    )

    meter.manner = 'not'
    await until('a question without an answer', () => work.discarded('no-answer') > 0)
    const before = work.readings().length
    meter.manner = 'late'
    await until('a late answer', () => work.discarded('late-answer') > 0)
    expect(work.readings().length, 'a late answer is no reading').toBe(before)
    meter.manner = 'well'
    await work.untilMore(4)

    meter.said = '>50;---\r\n'
    await until('the bound', () => work.readings().some((r) => r.quality === 'clipped' && r.value === 50))
    expect(work.readings().some((r) => r.quality === 'fault' && r.value === null)).toBe(true)
    meter.said = '<0,05;5,12\r\n'
    const below = await until('the other bound', () =>
      work.readings().find((r) => r.quality === 'out-of-range'),
    )
    expect(below).toMatchObject({ raw: 0.05, value: null })
    expect(meter.strange).toEqual([])
  })

  it('behind a device server is asked again on every new connection', async () => {
    const meter = askedMeter()
    const server = await startDeviceServer((send) => (bytes) => meter.hear(bytes, send))
    onTestFinished(() => server.close())
    const work = await startDaemonOn(wiring(`kind: tcp, host: 127.0.0.1, port: ${server.port}`, ASKED))
    await work.untilMore(4)
    server.hangUp()
    await work.untilMore(4)
    // the first line of a connection may be the tail of one, and is asked for again
    expect(work.discarded('before-first-delimiter')).toBe(2)
  })
})

describe('a meter that speaks by itself', () => {
  it.each([
    [
      'keys',
      'separator: " ", channels: [{ channel: dissolved-ozone, key: DO3, unit: ug/mL }]',
      'T=5.1 DO3=18.25 N=7\r\n',
      'T=5.1 D',
    ],
    [
      'a pattern',
      "pattern: '.* ozone (?P<o3>[^ ]+) mg/l.*', channels: [{ channel: dissolved-ozone, group: o3, unit: mg/L }]",
      '# 0007 ozone 18.25 mg/l (live)\r\n',
      '# 0007 ozo',
    ],
  ])('in %s is read', async (_how, meter, said, cut) => {
    const server = await startDeviceServer((send) => {
      const timer = setInterval(() => send(Buffer.from(said)), 100)
      onTestFinished(() => clearInterval(timer))
      send(Buffer.from(`${cut}\r\n`))
      send(Buffer.from(`${cut}\r\n`))
      return () => {}
    })
    onTestFinished(() => server.close())
    const work = await startDaemonOn(wiring(`kind: tcp, host: 127.0.0.1, port: ${server.port}`, meter))
    const stored = await work.untilMore(5)
    expect(new Set(stored.map((r) => r.value))).toEqual(new Set([18.25]))
    await until('the line that is not whole', () => work.discarded('unexpected-line') === 1)
  })
})
