import { readFileSync, statSync } from 'node:fs'
import { join } from 'node:path'
import { afterEach, describe, expect, it, onTestFinished } from 'vitest'
import { makeHome, readingsOf, serialPort, tcpPort, wiring } from '../support/home.ts'
import { connected, countedLine, meterLine, startMeter, startTicking } from '../support/meter.ts'
import { floatRegisters } from '../support/modbus-bytes.ts'
import { createLine, requestsOf, startDeviceServer } from '../support/modbus-device.ts'
import { endAll, residentMb, runPart, runToEnd } from '../support/program.ts'
import { canPair, plugIn, unplugAll } from '../support/pty-pair.ts'
import { ask, knock, tapAddress, tapFile, untilTap } from '../support/tap-listener.ts'
import { temporaryFolder } from '../support/temporary-folder.ts'
import { pause, until } from '../support/until.ts'

afterEach(endAll)
afterEach(unplugAll)

/** The daemon with one meter on a network serial server at work. */
const daemonWithMeter = async () => {
  const meter = await startMeter()
  onTestFinished(() => meter.close())
  const home = makeHome(wiring({ port: tcpPort(meter.port, 60), intervalS: 0.2 }))
  const daemon = runPart(['daemon'], { home })
  await daemon.started()
  await untilTap(home)
  await connected(meter)
  return { meter, home, daemon }
}
const textOf = (hex: string): string => Buffer.from(hex, 'hex').toString('latin1')
const trial = (port: object, more: object = {}) => ({ ask: 'listen', trial: { port, ...more } })

describe('a port at work', () => {
  it('is heard as bytes, lines, values and discards while its readings are stored', async () => {
    const { meter, home } = await daemonWithMeter()
    onTestFinished(startTicking(meter, 200).stop)
    const listener = ask(home, { ask: 'listen', port: 'meter-a' })
    await listener.untilHeard('listening')
    await listener.untilHeard('state', (e) => e.state === 'open')
    const line = await listener.untilHeard('line', (e) => e.why === null)
    expect(line.values).toMatchObject([
      { instrument: 'meter-a', channel: 'dissolved-ozone', unit: 'mg/L', quality: 'good' },
      { channel: 'fluid-temperature', unit: '°C' },
    ])
    expect(line.text).toContain(`,${line.values[0]?.value?.toFixed(3)},`)
    meter.send('$SPGW,1,2*00\r\n')
    await listener.untilHeard('discarded', (e) => e.why === 'checksum-wrong')
    const raw = listener.heard.flatMap((e) => (e.kind === 'bytes' ? [textOf(e.hex)] : [])).join('')
    expect(raw).toContain('$SPGW,1,2*00\r\n')
    await until('readings', () => readingsOf(home).length > 4)
  })

  it('is refused without the token, which only the owner can read and which every start makes anew', async () => {
    const { home, daemon } = await daemonWithMeter()
    const { token } = tapAddress(home)
    if (process.platform !== 'win32') expect(statSync(tapFile(home)).mode & 0o777).toBe(0o600)
    for (const message of [
      '{"ask":"status"}\n',
      `{"ask":"status","token":"${'0'.repeat(64)}"}\n`,
      '{"ask":"listen","port":"meter-a","token":""}\n',
      'GET / HTTP/1.1\r\n\r\n',
      Buffer.alloc(200_000, 'x'),
    ]) {
      const stranger = knock(home, message)
      await stranger.untilHeard('refused')
      await until('the connection to be closed', stranger.isClosed)
      expect(stranger.heard, String(message).slice(0, 40)).toHaveLength(1)
      expect(JSON.stringify(stranger.heard)).not.toContain(token)
    }
    const unknown = ask(home, { ask: 'listen', port: 'meter-z' })
    expect((await unknown.untilHeard('refused')).why).toContain('needs one of the ports: meter-a')

    daemon.kill('SIGTERM')
    await daemon.ended()
    expect(statSync(tapFile(home), { throwIfNoEntry: false }), 'gone with the daemon').toBeUndefined()
    await runPart(['daemon'], { home }).started()
    await untilTap(home)
    expect(tapAddress(home).token).not.toBe(token)
  })

  it('that floods a listener which hangs tells it how much was lost, and neither memory nor logging suffers', async () => {
    const { meter, home, daemon } = await daemonWithMeter()
    const listener = ask(home, { ask: 'listen', port: 'meter-a' })
    await listener.untilHeard('listening')
    listener.hang()
    const before = residentMb(daemon.pid)
    // 12 MB: what the sockets hold on the way is far less
    const lines = Array.from({ length: 2000 }, (_, i) => countedLine(i + 1)).join('')
    const noise = Buffer.from(`${'x'.repeat(200)}\r\n`.repeat(300))
    for (let round = 0; round < 160; round++) await meter.sendAll(noise)
    await meter.sendAll(Buffer.from(lines))
    await until('every reading of the flood', () => readingsOf(home).length >= 4000)
    expect(residentMb(daemon.pid) - before).toBeLessThan(120)
    listener.goOn()
    const lost = await listener.untilHeard('lost', (e) => e.bytes > 0 && e.frames > 0)
    expect(lost.frames).toBeGreaterThan(400)
    meter.send(meterLine(7, '7.777', '20'))
    await listener.untilHeard('line', (e) => e.text.includes('7.777'))
  })
})

describe('a port that nobody has wired', () => {
  it('is opened for listening with trial settings, closed when the listener leaves, and nothing of it is stored', async () => {
    const { home } = await daemonWithMeter()
    const other = await startMeter()
    onTestFinished(() => other.close())
    const settings = {
      kind: 'tcp',
      host: '127.0.0.1',
      port: other.port,
      frame: { delimiter: '\r\n', checksum: 'xor' },
    }
    const listener = ask(home, trial(settings))
    await connected(other)
    onTestFinished(startTicking(other, 100).stop)
    expect(await listener.untilHeard('line')).toMatchObject({ values: [], why: null })
    const second = ask(home, trial(settings))
    expect((await second.untilHeard('refused')).why).toContain('another screen is listening to it already')
    listener.leave()
    await until('the port to be closed', () => other.connections() === 0)
    expect(readingsOf(home)).toEqual([])
  })

  it('is not opened a second time while the wiring has it open', async () => {
    const { meter, home } = await daemonWithMeter()
    const listener = ask(home, trial({ kind: 'tcp', host: '127.0.0.1', port: meter.port }))
    expect((await listener.untilHeard('refused')).why).toContain('port meter-a has it open already')
    expect(meter.everConnected()).toBe(1)
  })

  it.skipIf(!canPair)(
    'on a serial line is asked the text given and nothing else; a missing one says what to do',
    async () => {
      const { home } = await daemonWithMeter()
      const device = join(temporaryFolder(), 'adapter')
      const settings = { kind: 'serial', device, baud: 9600, frame: { delimiter: '\r' } }
      const question = { ask: { text: 'VALUE?\r' }, interval_s: 0.2 }
      const listener = ask(home, trial(settings, question))
      expect((await listener.untilHeard('state', (e) => e.state === 'waiting')).why).toContain('is not there')
      const cable = await plugIn(device)
      let said = ''
      cable.onBytes((bytes) => {
        said += bytes.toString('latin1')
        cable.send('12.5;21,0\r')
      })
      expect((await listener.untilHeard('line')).text).toBe('12.5;21,0')
      expect(textOf((await listener.untilHeard('bytes', (e) => e.way === 'to-meter')).hex)).toContain(
        'VALUE?\r',
      )
      await until('more questions', () => said.length > 30)
      expect(said.replaceAll('VALUE?\r', '')).toBe('')
    },
  )

  it('of Modbus is asked for its registers with function 3 or 4 only', async () => {
    const { home } = await daemonWithMeter()
    const [high, low] = floatRegisters(23.5)
    const line = createLine({ 7: { manner: 'well', registers: (_, at) => (at === 16 ? low : high) } })
    const server = await startDeviceServer((send) => requestsOf((request) => void line.hear(request, send)))
    onTestFinished(() => server.close())
    const settings = {
      kind: 'tcp',
      host: '127.0.0.1',
      port: server.port,
      frame: { kind: 'modbus-rtu', timeout_s: 0.3 },
    }
    for (const [table, code] of [
      ['holding', 3],
      ['input', 4],
    ] as const) {
      const listener = ask(
        home,
        trial(settings, { registers: { address: 7, table, start: 16, count: 2 }, interval_s: 0.2 }),
      )
      const registers = await listener.untilHeard('registers')
      expect(registers).toMatchObject({ table, start: 16, words: [low, high], values: [] })
      expect(line.asked.at(-1)).toEqual({ unit: 7, code })
      listener.leave()
      await until('room for the next', () => listener.isClosed())
      await pause(200)
    }
    const silent = ask(
      home,
      trial(settings, { registers: { address: 9, table: 'input', start: 0, count: 1 }, interval_s: 0.2 }),
    )
    expect(await silent.untilHeard('discarded')).toMatchObject({ why: 'no-answer' })
    expect(line.notRequests).toEqual([])
  })
})

describe('spargewatch ports', () => {
  it.skipIf(!canPair)(
    'names which instrument holds what, its state, and what is wired but not there',
    async () => {
      const device = join(temporaryFolder(), 'adapter')
      const home = makeHome(wiring({ port: serialPort(device) }))
      const stopped = await runToEnd(['ports'], { home })
      expect(stopped.stdout).toContain('Note: the logging program is not running')
      expect(stopped.stdout).toContain(`Wired, but not there: meter-a (port meter-a): ${device} is not there`)
      await runPart(['daemon'], { home }).started()
      await untilTap(home)
      const { devices, missing, ports, faults } = JSON.parse(
        (await runToEnd(['ports', '--json'], { home })).stdout,
      ) as Record<string, object[]>
      expect(Array.isArray(devices)).toBe(true)
      expect(missing).toMatchObject([{ port: 'meter-a', instruments: ['meter-a'] }])
      expect(ports).toMatchObject([{ port: 'meter-a', state: expect.stringMatching(/waiting|opening/) }])
      expect(faults).toEqual([])
      expect(readFileSync(tapFile(home), 'utf8')).toContain(tapAddress(home).token)
    },
  )
})
