import { randomBytes } from 'node:crypto'
import { join } from 'node:path'
import { afterEach, describe, expect, it, onTestFinished } from 'vitest'
import { createEventLog } from '../../ingest/store/event-log.ts'
import { SqliteStore } from '../../ingest/store/sqlite-store.ts'
import type { PortStatus } from '../../ingest/store/store.ts'
import { makeHome, readingsOf, tcpPort, valuesOf, wiring } from '../support/home.ts'
import { connected, countedLine, meterLine, type NetworkMeter, startMeter } from '../support/meter.ts'
import { endAll, isAlive, type Program, residentMb, runPart } from '../support/program.ts'
import { until } from '../support/until.ts'

afterEach(endAll)

/** The daemon may grow by this much under abuse: buffers of sockets and the garbage collector's own leeway. */
const MOST_GROWTH_MB = 120
const MEGABYTE = 1024 * 1024

interface Bench {
  readonly meter: NetworkMeter
  readonly home: string
  readonly daemon: Program
  readonly status: () => PortStatus | undefined
  /** Sends one good line and waits until its reading is stored: what came before it has then been read. */
  sendGood(count: number): Promise<void>
}

const startLogging = async (): Promise<Bench> => {
  const meter = await startMeter()
  onTestFinished(() => meter.close())
  const home = makeHome(wiring({ port: tcpPort(meter.port, 60) }))
  const daemon = runPart(['daemon'], { home })
  await daemon.started()
  await connected(meter)
  const store = new SqliteStore({ path: join(home, 'readings.db'), kind: 'real', writes: false })
  onTestFinished(() => void store.db.close())
  const status = () => createEventLog(store.db).ports()[0]
  const sendGood = async (count: number) => {
    await until('a connection', () => meter.connections() > 0)
    // the first line after opening only finds the beginning of the next
    meter.send(`\r\n${countedLine(count)}`)
    await until(`line ${count} to be stored`, () =>
      valuesOf(store.after(0, 1_000_000)).includes(count / 1000),
    )
  }
  await sendGood(1)
  return { meter, home, daemon, status, sendGood }
}

const discardedIn = ({ home }: Bench) => {
  const store = new SqliteStore({ path: join(home, 'readings.db'), kind: 'real', writes: false })
  try {
    return createEventLog(store.db)
      .after(0, 100_000)
      .filter((e) => e.kind === 'discarded')
  } finally {
    store.db.close()
  }
}

const total = (counts: Readonly<Record<string, number>> = {}) =>
  Object.values(counts).reduce((a, b) => a + b, 0)

describe('a port that sends rubbish', () => {
  it('with a line of 10 MB costs no memory, is counted, and the next good line is read', async () => {
    const bench = await startLogging()
    const before = residentMb(bench.daemon.pid)
    for (let sent = 0; sent < 10; sent++) await bench.meter.sendAll(Buffer.alloc(MEGABYTE, 'x'))
    await bench.sendGood(2)
    expect(residentMb(bench.daemon.pid) - before).toBeLessThan(MOST_GROWTH_MB)
    const counted = await until('the status', () => {
      const now = bench.status()?.discarded
      return now?.['too-long'] === 1 && now['rest-of-too-long'] === 1 && now
    })
    expect(counted).toEqual({ 'too-long': 1, 'rest-of-too-long': 1 })
    const events = await until('the event', () => {
      const found = discardedIn(bench)
      return found.length > 0 && found
    })
    const reasons = events.map((e) => e.detail['by_reason']) as Record<string, { bytes: number }>[]
    const bytes = reasons.flatMap((r) => Object.values(r)).reduce((sum, { bytes }) => sum + bytes, 0)
    expect(bytes, 'every byte is accounted for').toBe(10 * MEGABYTE)
    expect(valuesOf(readingsOf(bench.home))).toEqual([0.001, 0.002])
  })

  it('at full speed for ten seconds stays bounded, invents no reading, and is heard again at once', async () => {
    const bench = await startLogging()
    const before = residentMb(bench.daemon.pid)
    const block = randomBytes(MEGABYTE)
    // half of it as noise, half as very many very short lines
    block.fill('x\r\n', MEGABYTE / 2)
    let most = before
    let megabytes = 0
    for (const end = performance.now() + 10_000; performance.now() < end; megabytes++) {
      block.writeUInt32LE(megabytes, (megabytes * 4099) % (MEGABYTE / 2 - 4))
      await bench.meter.sendAll(block)
      most = Math.max(most, residentMb(bench.daemon.pid))
    }
    await bench.sendGood(2)
    expect(megabytes).toBeGreaterThan(10)
    expect(most - before, `growth at ${megabytes} MB`).toBeLessThan(MOST_GROWTH_MB)
    expect(isAlive(bench.daemon.pid)).toBe(true)
    expect(valuesOf(readingsOf(bench.home))).toEqual([0.001, 0.002])
    expect(total((await until('the status', bench.status)).discarded)).toBeGreaterThan(1000)
    await until('the event', () => discardedIn(bench).length > 0)
  })

  it('cut at every byte of a line never makes a reading of a part of it', async () => {
    const bench = await startLogging()
    // 23.40 cut short would be 23.4, 23 or 2
    const line = meterLine(99, '23.40', '5.12')
    let connections = bench.meter.everConnected()
    for (let cut = 1; cut < line.length; cut++) {
      bench.meter.send(`\r\n${line.slice(0, cut)}`)
      bench.meter.hangUp(cut % 2 === 0 ? 'end' : 'reset')
      connections += 1
      await until(
        'the next connection',
        () => bench.meter.everConnected() >= connections && bench.meter.connections() > 0,
      )
      // the rest arrives on the new connection, as from a meter that goes on talking
      bench.meter.send(line.slice(cut))
    }
    await bench.sendGood(2)
    expect(valuesOf(readingsOf(bench.home))).toEqual([0.001, 0.002])
    const counts = (await until('the status', bench.status)).discarded
    expect(counts['torn'] ?? 0).toBeGreaterThan(line.length / 4)
    expect(counts['before-first-delimiter'] ?? 0).toBeGreaterThan(line.length / 2)
  })
})
