import { readFileSync } from 'node:fs'
import { join } from 'node:path'
import { afterEach, describe, expect, it, onTestFinished } from 'vitest'
import type {
  PortsFound,
  Problem,
  TapEvent,
  Tried,
  WiringChange,
  WiringFile,
  WiringSaved,
} from '../../server/wire.ts'
import { get, post } from '../support/api.ts'
import { startBoth } from '../support/at-work.ts'
import { makeHome, readingsOf, tcpPort, wiring } from '../support/home.ts'
import { connected, startMeter, startTicking } from '../support/meter.ts'
import { endAll, runStart } from '../support/program.ts'
import { rawRequest } from '../support/raw-http.ts'
import { untilTap } from '../support/tap-listener.ts'
import { temporaryFolder } from '../support/temporary-folder.ts'
import { until } from '../support/until.ts'

afterEach(endAll)

const CHANNELS = [{ channel: 'dissolved-ozone', field: 2, unit: 'ug/mL' }]

/** Reads the live stream until an event fits, then leaves. */
const heardOf = async (
  address: string,
  wanted: object,
  fits: (event: TapEvent) => boolean,
): Promise<readonly TapEvent[]> => {
  const leave = new AbortController()
  const answer = await fetch(`${address}/api/ports/listen`, {
    method: 'POST',
    headers: { 'content-type': 'application/json' },
    body: JSON.stringify(wanted),
    signal: AbortSignal.any([leave.signal, AbortSignal.timeout(30_000)]),
  })
  expect(answer.headers.get('content-type')).toContain('application/x-ndjson')
  const heard: TapEvent[] = []
  let held = ''
  for await (const chunk of answer.body ?? []) {
    const lines = (held + Buffer.from(chunk).toString('utf8')).split('\n')
    held = lines.pop() ?? ''
    heard.push(...lines.map((l) => JSON.parse(l) as TapEvent))
    if (heard.some(fits)) break
  }
  leave.abort()
  return heard
}

describe('a second meter set up while the first is at work', () => {
  it('is heard, tried, saved with every comment kept, and read within seconds; the first is not disturbed', async () => {
    const [meter, second] = [await startMeter(), await startMeter()]
    for (const m of [meter, second]) {
      onTestFinished(() => m.close())
      onTestFinished(startTicking(m, 200).stop)
    }
    const yaml = `# ours, and it stays ours\n${wiring({ port: tcpPort(meter.port, 60), benches: ['A', 'B'], intervalS: 0.2 }).replace('interval_s', '# twice a second would do\n    interval_s')}`
    const home = makeHome(yaml)
    const file = join(home, 'spargewatch.yaml')
    const { address } = await startBoth(home)
    await untilTap(home)
    await connected(meter)

    const ports = await get<PortsFound>(address, '/api/ports')
    expect(ports.listening).toEqual({ possible: true, why: null })
    expect(ports.ports).toMatchObject([{ port: 'meter-a', kind: 'tcp', instruments: ['meter-a'] }])

    const settings = {
      kind: 'tcp',
      host: '127.0.0.1',
      port: second.port,
      frame: { delimiter: '\n', checksum: 'xor' },
    }
    const heard = await heardOf(address, { trial: { port: settings } }, (e) => e.kind === 'line')
    const line = heard.find((e) => e.kind === 'line')
    if (line?.kind !== 'line') throw new Error('no line')
    await until('the trial to be over', () => second.connections() === 0)
    expect(readingsOf(home).every((r) => r.series.instrument === 'meter-a')).toBe(true)

    const { body: tried } = await post<Tried>(address, '/api/ports/try', {
      port: settings,
      instrument: { id: 'meter-b', channels: CHANNELS },
      frames: [{ kind: 'line', mono_ms: line.mono_ms, text: line.text }],
    })
    expect(tried).toMatchObject({ faults: [], read: 1, values: [{ unit: 'mg/L', quality: 'good' }] })

    const { version } = await get<WiringFile>(address, '/api/wiring')
    const change: WiringChange = {
      expected: version,
      port: { name: 'meter-b', settings },
      instrument: { id: 'meter-b', bench: 'B', starts_with: 'SPGW', interval_s: 0.2, channels: CHANNELS },
      replaces: false,
    }
    const saved = await post<WiringSaved & Problem>(address, '/api/wiring', change)
    expect(saved).toMatchObject({ status: 200, body: { effect: 'within-seconds', file } })
    expect(readFileSync(saved.body.previous ?? '', 'utf8')).toBe(yaml)
    const lines = readFileSync(file, 'utf8').split('\n')
    for (const each of yaml.split('\n')) expect(lines).toContain(each)

    await until('readings of the second', () =>
      readingsOf(home).some((r) => r.series.instrument === 'meter-b'),
    )
    await until('bench B live', async () =>
      (await fetch(`${address}/api/benches/B`).then((r) => r.text())).includes('"state":"live"'),
    )
    expect(meter.everConnected(), 'the port that nobody changed was never closed').toBe(1)

    const again = await post<Problem>(address, '/api/wiring', change)
    expect(again.status, 'the version that was read is not the one that stands').toBe(409)
    const atWork = await heardOf(
      address,
      { port: 'meter-b' },
      (e) => e.kind === 'line' && e.values.length > 0,
    )
    expect(atWork.some((e) => e.kind === 'line' && e.values[0]?.instrument === 'meter-b')).toBe(true)
  })
})

describe('the way to the ports', () => {
  it('is closed to pages that are not our own, and says what is wrong with a question', async () => {
    const home = makeHome(wiring({ port: tcpPort(9) }))
    const { address } = await startBoth(home)
    await untilTap(home)
    const { host } = new URL(address)
    for (const path of ['/api/ports/listen', '/api/ports/try', '/api/wiring', '/api/wiring/check'])
      for (const headers of [{ host, origin: 'http://evil.example' }, { host: 'evil.example' }] as Record<
        string,
        string
      >[]) {
        const answer = await rawRequest(address, path, {
          method: 'POST',
          headers: { ...headers, 'content-type': 'application/json' },
          body: '{"port":"meter-a"}',
        })
        expect(answer.status, path).toBe(403)
      }
    const unknown = await post<Problem>(address, '/api/ports/listen', { port: 'meter-z' })
    expect(unknown).toMatchObject({ status: 422, body: { detail: expect.stringContaining('meter-a') } })
    const writing = await post<Problem>(address, '/api/ports/listen', {
      trial: { port: { kind: 'tcp', host: '127.0.0.1', port: 9 }, write: '01' },
    })
    expect(writing.status).toBe(400)
    const held = await post<Problem>(address, '/api/ports/listen', {
      trial: { port: { kind: 'tcp', host: '127.0.0.1', port: 9 } },
    })
    expect(held.body.detail).toContain('port meter-a has it open already')
  })

  it('says that the logging program is not running, and still lists what is there', async () => {
    const home = makeHome(wiring({ port: tcpPort(9) }))
    const { address, daemon } = await startBoth(home)
    daemon.kill('SIGKILL')
    await daemon.ended()
    const refused = await until('the refusal', async () => {
      const answer = await post<Problem>(address, '/api/ports/listen', { port: 'meter-a' })
      return answer.status === 503 && answer.body.detail
    })
    expect(refused).toMatch(/logging program/)
    expect((await get<PortsFound>(address, '/api/ports')).ports).toHaveLength(1)
  })
})

describe('the first meter of a clinic, set up in the demonstration', () => {
  it('is written beside the demonstration, which goes on; the next start is the clinic’s own and holds nothing invented', async () => {
    const home = join(temporaryFolder(), 'home')
    const demo = runStart({ home })
    const [, address = ''] = await demo.says(/demonstration \(simulated\): (http:\S+)/)
    const before = await get<WiringFile>(address, '/api/wiring')
    expect(before).toMatchObject({
      demo: true,
      version: null,
      benches: [],
      file: join(home, 'spargewatch.yaml'),
    })
    const meter = await startMeter()
    onTestFinished(() => meter.close())
    const saved = await post<WiringSaved>(address, '/api/wiring', {
      expected: null,
      site: { name: 'Our clinic', zone: 'Europe/Lisbon' },
      bench: { id: 'A', name: 'Bench A' },
      port: {
        name: 'meter',
        settings: { kind: 'tcp', host: '127.0.0.1', port: meter.port, frame: { checksum: 'xor' } },
      },
      instrument: { id: 'meter', bench: 'A', interval_s: 0.2, channels: CHANNELS },
    } satisfies Omit<WiringChange, 'replaces'>)
    expect(saved).toMatchObject({ status: 200, body: { effect: 'next-start', previous: null } })
    expect((await get<{ simulated: boolean }>(address, '/api/site')).simulated, 'goes on').toBe(true)
    expect(meter.everConnected(), 'the demonstration reads no real meter').toBe(0)
    const demoConfig = readFileSync(join(home, 'demo', 'spargewatch.yaml'), 'utf8')
    expect(demoConfig).toContain('SIMULATED')
    expect(demoConfig).not.toContain('Our clinic')
    demo.kill('SIGTERM')
    await demo.ended()

    const real = runStart({ home })
    const [, own = ''] = await real.says(/Spargewatch: (http:\S+)/)
    onTestFinished(startTicking(meter, 200).stop)
    expect(await get(own, '/api/site')).toMatchObject({ name: 'Our clinic', simulated: false })
    expect(await get<unknown[]>(own, '/api/batches')).toEqual([])
    await until('readings', () => readingsOf(home).length > 3)
    real.kill('SIGTERM')
    await real.ended()
  })
})
