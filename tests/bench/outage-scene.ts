import { mkdirSync, mkdtempSync, rmSync, writeFileSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import type { Channel } from '../../ingest/reading/reading.ts'
import { outboxFile } from '../../ingest/store/outbox.ts'
import { SqliteStore } from '../../ingest/store/sqlite-store.ts'
import { freePort } from '../support/free-port.ts'
import { startInflux } from '../support/influx-server.ts'
import { meterLine, startTicking } from '../support/meter.ts'
import { plugIn } from '../support/pty-pair.ts'
import { acknowledgedIn } from '../support/sent-on.ts'
import { type Started, startPart } from './program.ts'
import { listeningScreen, type Still } from './stillness.ts'
import { wireTo } from './wire-between.ts'

export const SITE = 'Outage bench'
export const DATABASE = 'ozone'
export const PEER_DATABASE = 'peer'
const CHANNELS: readonly Channel[] = ['dissolved-ozone', 'fluid-temperature']
export const METER = { bench: 'A', instrument: 'meter-a', channels: CHANNELS } as const
/** 25 lines a second of two channels are 50 readings a second. */
const EVERY_MS = 40
/** Line 19,999 reads 19.999 mg/L; then it begins again. */
export const LINES_COUNTED = 20_000

const line = (count: number): string =>
  meterLine(count, ((count % LINES_COUNTED) / 1000).toFixed(3), (20 + (count % 100) / 1000).toFixed(3))

const wiring = (device: string, url: string) => ({
  site: { name: SITE, zone: 'UTC', simulated: false },
  benches: [{ id: METER.bench }],
  ports: { p: { kind: 'serial', device, baud: 9600, frame: { delimiter: '\r\n', checksum: 'xor' } } },
  instruments: [
    {
      id: METER.instrument,
      port: 'p',
      bench: METER.bench,
      field_count: 6,
      interval_s: EVERY_MS / 1000,
      channels: [
        { channel: 'dissolved-ozone', field: 2, unit: 'ug/mL' },
        { channel: 'fluid-temperature', field: 4, unit: 'C' },
      ],
    },
  ],
  store: { influx: { version: 1, url, database: DATABASE } },
})

export type OutageScene = Awaited<ReturnType<typeof setScene>>

/** A real influxd behind a wire, a meter on a serial line, the three parts of the program, and one screen. */
export const setScene = async () => {
  const folder = mkdtempSync(join(tmpdir(), 'spargewatch-outage-'))
  const home = join(folder, 'home')
  const influx = await startInflux()
  for (const database of [DATABASE, PEER_DATABASE]) await influx.tell(`CREATE DATABASE ${database}`)
  const wire = await wireTo(influx.port, await freePort())
  const device = join(folder, 'meter')
  const cable = await plugIn(device)
  mkdirSync(home, { mode: 0o700 })
  writeFileSync(
    join(home, 'spargewatch.yaml'),
    JSON.stringify(wiring(device, `http://127.0.0.1:${wire.port}`)),
    { mode: 0o600 },
  )
  let daemon: Started = await startPart(home, ['daemon'])
  const server = await startPart(home, ['serve'])
  const forwarder = await startPart(home, ['forward'])
  const address = String(server.message['address'])
  // another reader beside the running program
  const store = new SqliteStore({ path: join(home, 'readings.db'), kind: 'real', writes: false })
  const acknowledged = () => acknowledgedIn(outboxFile(home))
  const waiting = store.db.prepare('SELECT count(*) FROM reading WHERE seq > ?').pluck()
  const screen = await listeningScreen(address, METER.bench)
  const ticking = startTicking(cable, EVERY_MS, line)
  const daemonAway: Still[] = []

  return {
    home,
    influx,
    wire,
    screen,
    ticking,
    address,
    daemonAway,
    readings: () => store.after(0, 100_000_000),
    acknowledged,
    waiting: () => Number(waiting.get(acknowledged())),
    killInflux: async () => {
      await Promise.all([wire.cut(), influx.kill('SIGKILL')])
    },
    startInflux: async () => {
      await influx.start()
      await wire.join()
    },
    /** Killed and started again at once, as its supervisor would. */
    killDaemon: async () => {
      const from = performance.now()
      const ended = new Promise((resolve) => daemon.child.once('exit', resolve))
      daemon.child.kill('SIGKILL')
      await ended
      const before = screen.readings()
      daemon = await startPart(home, ['daemon'])
      while (screen.readings() === before) await new Promise((again) => setTimeout(again, 20))
      daemonAway.push({ from, to: performance.now() })
    },
    close: async () => {
      ticking.stop()
      screen.close()
      store.db.close()
      for (const part of [daemon, server, forwarder]) part.child.kill('SIGKILL')
      await cable.pull()
      await wire.cut()
      await influx.close()
      rmSync(folder, { recursive: true, force: true })
    },
  }
}
