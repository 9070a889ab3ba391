import { existsSync, readdirSync, statSync } from 'node:fs'
import { connect } from 'node:net'
import { join } from 'node:path'
import { afterEach, describe, expect, it, onTestFinished } from 'vitest'
import type { BatchSummary, Health, Instrument } from '../../server/wire.ts'
import { get } from '../support/api.ts'
import { freePort } from '../support/free-port.ts'
import { makeHome, tcpPort, wiring } from '../support/home.ts'
import { countedLine, startMeter } from '../support/meter.ts'
import { descendantsOf, endAll, isAlive, type Program, runOther, runStart } from '../support/program.ts'
import { temporaryFolder } from '../support/temporary-folder.ts'
import { pause, until } from '../support/until.ts'

afterEach(endAll)

const demoIn = async (home: string): Promise<{ program: Program; address: string }> => {
  const port = await freePort()
  const program = runStart({ home, env: { PORT: String(port) } })
  const [, address = ''] = await program.says(/demonstration \(simulated\): (http:\S+)/)
  expect(address).toBe(`http://127.0.0.1:${port}`)
  return { program, address }
}

/** A configured home is up sooner than a demonstration with its four weeks of history. */
const startReal = async (run: (home: string) => Program): Promise<Program> => {
  const meter = await startMeter()
  onTestFinished(() => meter.close())
  const program = run(makeHome(wiring({ port: tcpPort(meter.port) })))
  const [, address = ''] = await program.says(/Spargewatch: (http:\S+)/)
  await until('all to be at work', async () => {
    meter.send(countedLine(1))
    return (await get<Health>(address, '/api/health')).status === 'working'
  })
  return program
}

const npmStart = (home: string): Program => runOther('npm', ['start', '--silent'], { home })

const allGone = (pids: readonly number[]) =>
  until(`the end of ${pids.join(', ')}`, () => pids.every((pid) => !isAlive(pid)), 20_000)

describe('npm start in an empty home', () => {
  it('runs the demonstration, says so, and the terminate signal ends every part of it', async () => {
    const home = join(temporaryFolder(), 'home')
    const { program, address } = await demoIn(home)
    const health = await until('every port of the demonstration to be open', async () => {
      const now = await get<Health>(address, '/api/health')
      return now.status === 'working' && now.daemon.readings_seq > 0 && now
    })
    expect(health.simulated).toBe(true)
    expect(existsSync(join(home, 'spargewatch.yaml')), 'no real config is made').toBe(false)
    expect(readdirSync(home)).toEqual(['demo'])
    const modes = ['', 'readings.db', 'ledger.db', 'spargewatch.yaml'].map((name) =>
      (statSync(join(home, 'demo', name)).mode & 0o777).toString(8),
    )
    expect(modes, 'nobody else on the machine may look').toEqual(['700', '600', '600', '600'])
    const parts = descendantsOf(program.pid)
    expect(parts.length).toBeGreaterThanOrEqual(3)
    program.kill('SIGTERM')
    expect(await program.ended(20_000)).toEqual({ code: 0, signal: null })
    await allGone(parts)
  })
})

describe('a demonstration whose first start was cut short', () => {
  it('has its four weeks of history at the next start all the same', async () => {
    const home = join(temporaryFolder(), 'home')
    const first = runStart({ home, env: { PORT: String(await freePort()) } })
    await until('history to be written', () => existsSync(join(home, 'demo', 'ledger.db')))
    first.kill('SIGKILL')
    await first.ended()
    const { address } = await demoIn(home)
    const batches = await get<BatchSummary[]>(address, '/api/batches?limit=200')
    const oldest = Math.min(...batches.map((b) => Date.parse(b.head.opened_at)))
    expect(batches.length).toBeGreaterThan(25)
    expect((Date.now() - oldest) / 86_400_000).toBeGreaterThan(20)
    const calibrated = await get<Instrument[]>(address, '/api/instruments')
    expect(calibrated.every((i) => i.calibration !== null)).toBe(true)
  })
})

describe('npm start with a config', () => {
  it.each(['SIGINT', 'SIGKILL'] as const)('leaves nothing running after %s', async (signal) => {
    const program = await startReal((home) => runStart({ home }))
    const parts = descendantsOf(program.pid)
    expect(parts.length).toBeGreaterThanOrEqual(2)
    program.kill(signal)
    await allGone([program.pid, ...parts])
  })

  it('leaves nothing running when npm itself is killed', async () => {
    const program = await startReal(npmStart)
    const below = descendantsOf(program.pid)
    expect(below.length).toBeGreaterThanOrEqual(3)
    program.kill('SIGKILL')
    await allGone([program.pid, ...below])
  })

  it('ends although a browser holds a half-sent request open', async () => {
    const program = await startReal((home) => runStart({ home }))
    const [, port = ''] = /Spargewatch: http:\/\/127\.0\.0\.1:(\d+)/.exec(program.stderr()) ?? []
    const browser = connect(Number(port), '127.0.0.1')
    onTestFinished(() => void browser.destroy())
    browser.on('error', () => {})
    browser.write('POST /api/batches HTTP/1.1\r\nHost: localhost\r\nContent-Length: 900\r\n\r\n{"a":')
    await pause(300)
    const parts = descendantsOf(program.pid)
    program.kill('SIGKILL')
    await allGone([program.pid, ...parts])
  })
})
