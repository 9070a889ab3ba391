import { join } from 'node:path'
import { afterEach, describe, expect, it, onTestFinished } from 'vitest'
import type { Channel, NewReading, Reading } from '../../ingest/reading/reading.ts'
import { connectInflux } from '../../ingest/store/influx-connection.ts'
import { InfluxStore } from '../../ingest/store/influx-store.ts'
import { outboxFile } from '../../ingest/store/outbox.ts'
import { SqliteStore } from '../../ingest/store/sqlite-store.ts'
import { timeUs } from '../../ingest/units.ts'
import { person } from '../support/api.ts'
import { freePort } from '../support/free-port.ts'
import { makeHome, readingsOf, tcpPort, wiring } from '../support/home.ts'
import { hasInflux, type InfluxServer, startInflux } from '../support/influx-server.ts'
import { connected, startMeter, startTicking } from '../support/meter.ts'
import { endAll, type Program, runPart } from '../support/program.ts'
import { acknowledgedIn } from '../support/sent-on.ts'
import { pause, until } from '../support/until.ts'

afterEach(endAll)

const YEAR_2020_US = 1_577_836_800_000_000
/** 25 lines a second of two channels are 50 readings a second. */
const EVERY_MS = 40

const YESTERDAY = 40_000

const stored = (timeOfUs: number, value: number): NewReading => ({
  series: { bench: 'A', instrument: 'meter-a', channel: 'dissolved-ozone' },
  timeUs: timeUs(timeOfUs),
  bootId: 'an-earlier-boot',
  monoMs: timeOfUs / 1000,
  raw: value,
  value,
  quality: 'good',
  movedUs: 0,
})

/**
 * Written into the local file as the daemon would have: one reading long before the server's retention begins, then
 * many of yesterday, so that large batches are on their way when the kills come.
 */
const storeThePast = (home: string): Reading => {
  const store = new SqliteStore({ path: join(home, 'readings.db'), kind: 'real', writes: true })
  const yesterdayUs = (Date.now() - 86_400_000) * 1000
  const many = Array.from({ length: YESTERDAY }, (_, i) => stored(yesterdayUs + i * 20_000, i / 7))
  const [old] = store.appendNow([stored(YEAR_2020_US, 12.5), ...many]).stored
  store.db.close()
  if (old === undefined) throw new Error('it was to be stored')
  return old
}

const acknowledgedOf = (home: string): number => acknowledgedIn(outboxFile(home))

const elsewhere = async (influx: InfluxServer): Promise<Reading[]> => {
  const store = new InfluxStore({
    connection: connectInflux(influx.target('ozone'), { kind: 'none' }),
    site: 'Test clinic',
  })
  const ofChannel = (channel: Channel) =>
    store.range({ bench: 'A', instrument: 'meter-a', channel }, timeUs(0), timeUs(4e15))
  const found = await Promise.all([ofChannel('dissolved-ozone'), ofChannel('fluid-temperature')])
  return found.flat().sort((a, b) => a.seq - b.seq)
}

describe.skipIf(!hasInflux)('readings sent on to InfluxDB', () => {
  it('are the same on both sides after the server and both programs were killed in the middle of it', async () => {
    const influx = await startInflux()
    onTestFinished(() => influx.close())
    await influx.tell('CREATE DATABASE ozone WITH DURATION 90d')
    const meter = await startMeter()
    onTestFinished(() => meter.close())
    const yaml = wiring({ port: tcpPort(meter.port), intervalS: EVERY_MS / 1000 })
    const target = `influx: { version: 1, url: "${influx.url}", database: ozone }`
    const home = makeHome(yaml.replace('commit_interval_ms: 50', `commit_interval_ms: 50, ${target}`))
    const tooOld = storeThePast(home)

    const port = String(await freePort())
    const runDaemon = () => runPart(['daemon'], { home })
    const runForwarder = () => runPart(['forward', '--wait-scale', '0.1'], { home })
    const server = runPart(['serve'], { home, env: { PORT: port } })
    let daemon = runDaemon()
    let forwarder = runForwarder()
    for (const program of [server, daemon, forwarder]) await program.started()
    const ines = person(`http://127.0.0.1:${port}`)
    const forwarding = async () => (await ines.health()).forwarding
    await connected(meter)
    const ticking = startTicking(meter, EVERY_MS)
    onTestFinished(ticking.stop)

    const sentOn = () => acknowledgedOf(home)
    const more = (what: string) => {
      const before = sentOn()
      return until(what, () => sentOn() > before + 50)
    }
    const again = async (program: Program, run: () => Program): Promise<Program> => {
      program.kill('SIGKILL')
      await program.ended()
      const next = run()
      await next.started()
      return next
    }

    // large batches are on their way: the server is killed under one of them, then the forwarder
    const between = (from: number, to: number) =>
      until('a large batch to be under way', () => sentOn() > from && sentOn() < to)
    await between(0, YESTERDAY / 2)
    expect((await forwarding())?.refused).toBe(1)
    await influx.kill('SIGKILL')
    expect(sentOn()).toBeLessThan(YESTERDAY)
    await influx.start()
    await between(sentOn(), YESTERDAY)
    expect(sentOn()).toBeLessThan(YESTERDAY)
    forwarder = await again(forwarder, runForwarder)
    await until('all of yesterday to be sent on', () => sentOn() > YESTERDAY)
    await more('the others to be sent on')

    // down for a while, and meanwhile both programs are killed
    await influx.kill('SIGKILL')
    const behind = await until('the backlog to be seen', async () => {
      const now = await forwarding()
      return now !== null && now.state === 'waiting' && now.waiting > 100 && now
    })
    expect(behind?.why).toContain('ECONNREFUSED')
    expect(behind?.oldest_waiting_s).toBeGreaterThan(1)
    daemon = await again(daemon, runDaemon)
    forwarder = await again(forwarder, runForwarder)
    await pause(2000)
    expect((await forwarding())?.waiting).toBeGreaterThan(150)
    await influx.start()
    await until('the backlog to be gone', async () => (await forwarding())?.waiting === 0)

    // killed while batches are on their way, five times, and both programs once more
    for (let kill = 0; kill < 5; kill++) {
      await more('a batch to be under way')
      await pause(Math.random() * 250)
      await influx.kill('SIGKILL')
      if (kill === 1) forwarder = await again(forwarder, runForwarder)
      if (kill === 3) daemon = await again(daemon, runDaemon)
      await influx.start()
    }
    await more('readings to be sent on again')
    ticking.stop()

    const local = await until('everything stored here to be sent on', async () => {
      const stored = readingsOf(home)
      await pause(300)
      return sentOn() === stored.at(-1)?.seq && readingsOf(home).length === stored.length && stored
    })
    const there = await elsewhere(influx)
    expect(there).toEqual(local.filter((r) => r.seq !== tooOld.seq))
    expect(new Set(there.map((r) => r.seq)).size).toBe(there.length)
    expect(there.length).toBeGreaterThan(YESTERDAY + 400)
    const last = await until('it to say so', async () => {
      const now = await forwarding()
      return now?.waiting === 0 && now
    })
    expect(last).toMatchObject({ state: 'up-to-date', waiting: 0, refused: 1, alive: true })
    expect(last.last_refused).toMatchObject([
      { seq: tooOld.seq, series: 'A/meter-a/dissolved-ozone', at: '2020-01-01T00:00:00.000Z' },
    ])
    expect(last.last_refused[0]?.words).toContain('beyond retention policy')
    console.log(`${there.length} readings on both sides, ${ticking.sent()} lines sent`)
  }, 120_000)
})
