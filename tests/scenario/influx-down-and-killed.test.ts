import { join } from 'node:path'
import { afterEach, describe, expect, it, onTestFinished } from 'vitest'
import type { Channel, NewReading, Reading } from '../../ingest/reading/reading.ts'
import { connectInflux } from '../../ingest/store/influx-connection.ts'
import { InfluxStore } from '../../ingest/store/influx-store.ts'
import { readForwardReport } from '../../ingest/store/outbox.ts'
import { SqliteStore } from '../../ingest/store/sqlite-store.ts'
import { timeUs } from '../../ingest/units.ts'
import { person } from '../support/api.ts'
import { freePort } from '../support/free-port.ts'
import { makeHome, readingsOf, tcpPort, wiring } from '../support/home.ts'
import { hasInflux, type InfluxServer, startInflux } from '../support/influx-server.ts'
import { connected, startMeter, startTicking } from '../support/meter.ts'
import { endAll, type Program, runPart } from '../support/program.ts'
import { pause, until } from '../support/until.ts'

afterEach(endAll)

const YEAR_2020_US = 1_577_836_800_000_000
/** 25 lines a second of two channels are 50 readings a second. */
const EVERY_MS = 40

/** Written into the local file as if the daemon had, long before the server's retention begins. */
const storeTooOld = (home: string): Reading => {
  const store = new SqliteStore({ path: join(home, 'readings.db'), kind: 'real', writes: true })
  const old: NewReading = {
    series: { bench: 'A', instrument: 'meter-a', channel: 'dissolved-ozone' },
    timeUs: timeUs(YEAR_2020_US),
    bootId: 'boot-of-2020',
    monoMs: 1,
    raw: 12.5,
    value: 12.5,
    quality: 'good',
    movedUs: 0,
  }
  const [stored] = store.appendNow([old]).stored
  store.db.close()
  if (stored === undefined) throw new Error('it was to be stored')
  return stored
}

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
    const tooOld = storeTooOld(home)

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

    const sentOn = () => readForwardReport(home)?.seq ?? 0
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

    await until('the refused reading to be listed', async () => (await forwarding())?.refused === 1)
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
    expect(there.length).toBeGreaterThan(400)
    const last = await forwarding()
    expect(last).toMatchObject({ state: 'up-to-date', waiting: 0, refused: 1, alive: true })
    expect(last?.last_refused).toMatchObject([
      { seq: tooOld.seq, series: 'A/meter-a/dissolved-ozone', at: '2020-01-01T00:00:00.000Z' },
    ])
    expect(last?.last_refused[0]?.words).toContain('beyond retention policy')
    console.log(`${there.length} readings on both sides, ${ticking.sent()} lines sent`)
  }, 120_000)
})
