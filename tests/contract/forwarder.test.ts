import { join } from 'node:path'
import { afterAll, beforeAll, describe, expect, it, onTestFinished } from 'vitest'
import type { InfluxTarget } from '../../ingest/config-influx.ts'
import { createForwarder } from '../../ingest/forward/forwarder.ts'
import type { InfluxCredentials } from '../../ingest/influx-secrets.ts'
import type { Channel, NewReading } from '../../ingest/reading/reading.ts'
import { connectInflux } from '../../ingest/store/influx-connection.ts'
import { InfluxStore } from '../../ingest/store/influx-store.ts'
import { BEGINNING, type Cursor, createDeliveryViewer, fromNow } from '../../ingest/store/influx-viewer.ts'
import { Outbox, outboxFile, readForwardReport } from '../../ingest/store/outbox.ts'
import { SqliteStore } from '../../ingest/store/sqlite-store.ts'
import { timeUs } from '../../ingest/units.ts'
import { hasInflux, type InfluxServer, startInflux } from '../support/influx-server.ts'
import { temporaryFolder } from '../support/temporary-folder.ts'
import { pause, until } from '../support/until.ts'

const T0 = 1_789_000_000_000_000
const reading = (s: number, value: number | null, channel: Channel = 'dissolved-ozone'): NewReading => ({
  series: { bench: 'A', instrument: 'meter-a', channel },
  timeUs: timeUs(T0 + s * 1e6),
  bootId: 'boot-1',
  monoMs: s * 1000,
  raw: value,
  value,
  quality: value === null ? 'fault' : 'good',
  movedUs: 0,
})
const NONE: InfluxCredentials = { kind: 'none' }

/** A home with a local file, and a forwarder that can be run and stopped. */
const openHome = (influx: InfluxServer) => {
  const home = temporaryFolder()
  const path = join(home, 'readings.db')
  const local = new SqliteStore({ path, kind: 'real', writes: true })
  onTestFinished(() => local.close())
  const said: string[] = []
  const log = {
    info: () => {},
    warn: (_: object, text: string) => void said.push(text),
    error: (_: object, text: string) => void said.push(text),
  }

  const start = (target: InfluxTarget, credentials: InfluxCredentials = NONE, nowUs = () => T0) => {
    const store = new SqliteStore({ path, kind: 'real', writes: false })
    const outbox = new Outbox(outboxFile(home), 'real')
    const stop = new AbortController()
    const { run, report } = createForwarder({
      store,
      outbox,
      connection: connectInflux(target, credentials),
      site: 'S',
      version: 1,
      log: log as unknown as Parameters<typeof createForwarder>[0]['log'],
      now: () => timeUs(nowUs()),
      wait: () => pause(10),
    })
    const heartbeat = setInterval(report, 30)
    const done = run(stop.signal)
    return async () => {
      clearInterval(heartbeat)
      stop.abort()
      await done
      outbox.close()
      await store.close()
    }
  }

  /** Runs it until all is acknowledged or refused. */
  const sendAll = async (...args: Parameters<typeof start>) => {
    const end = start(...args)
    await until('all to be sent', () => readForwardReport(home)?.seq === local.newestSeq())
    await end()
    return readForwardReport(home)
  }
  const there = (database: string, channel: Channel = 'dissolved-ozone') =>
    new InfluxStore({ connection: connectInflux(influx.target(database), NONE), site: 'S' }).range(
      { bench: 'A', instrument: 'meter-a', channel },
      timeUs(0),
      timeUs(4e15),
    )
  return { home, local, said, start, sendAll, there }
}

describe.skipIf(!hasInflux)('forwarding to a real InfluxDB 1.6', () => {
  let influx: InfluxServer
  let count = 0
  beforeAll(async () => {
    influx = await startInflux()
  })
  afterAll(() => influx.close())
  const newDatabase = async (more = '') => {
    const name = `forward_${++count}`
    await influx.tell(`CREATE DATABASE ${name} ${more}`)
    return name
  }

  it('sends every reading with all it has, in order of arrival, late ones and faults too', async () => {
    const { local, sendAll, there } = openHome(influx)
    const database = await newDatabase()
    const { stored } = local.appendNow([reading(3, 3), reading(1, null), reading(2, 2, 'fluid-temperature')])
    expect(await sendAll(influx.target(database))).toMatchObject({ waiting: 0, refused: 0, seq: 3 })
    expect(await there(database)).toEqual([stored[1], stored[0]])
    expect(await there(database, 'fluid-temperature')).toEqual([stored[2]])
  })

  it('lists what conflicts with a type that others settled, in the server’s words, and sends the rest', async () => {
    const { local, home, said, sendAll, there } = openHome(influx)
    const database = await newDatabase()
    // another program wrote the temperature’s value as text
    await fetch(`${influx.url}/write?db=${database}&precision=u`, {
      method: 'POST',
      body: `reading,site=S,bench=A,instrument=meter-a,channel=fluid-temperature value="20" ${T0}`,
    })
    local.appendNow(Array.from({ length: 100 }, (_, i) => reading(i, i)))
    const { stored } = local.appendNow([reading(1, null, 'fluid-temperature'), reading(200, 200)])
    await sendAll(influx.target(database))
    const report = readForwardReport(home)
    const numbers = 101
    expect(report?.refused).toBe(numbers)
    expect(report?.lastRefused[0]?.words).toMatch(/^400: .*type float, already exists as type string/)
    expect(await there(database, 'fluid-temperature')).toContainEqual(stored[0])
    expect(said).toContain('readings were refused by the server and listed')
    expect(local.after(0, 1000)).toHaveLength(102)
  })

  it('waits, and refuses nothing, while the database is not there or the password is wrong', async () => {
    const secured = await startInflux({ auth: true })
    onTestFinished(() => secured.close())
    await secured.tell("CREATE USER boss WITH PASSWORD 'right' WITH ALL PRIVILEGES")
    const { local, home, start } = openHome(secured)
    local.appendNow([reading(1, 1)])
    const boss = (password: string): InfluxCredentials => ({ kind: 'password', user: 'boss', password })
    const why = async (password: string) => {
      const end = start(secured.target('later'), boss(password))
      await until('it to be turned away', () => readForwardReport(home)?.state === 'not-let-in')
      const report = readForwardReport(home)
      await end()
      return report
    }
    const wrong = await why('wr0ng')
    expect(wrong).toMatchObject({ waiting: 1, refused: 0 })
    expect(wrong?.why).toMatch(/^401: /)
    expect(JSON.stringify(wrong)).not.toContain('wr0ng')
    expect((await why('right'))?.why).toMatch(/^404: database not found/)

    const connection = connectInflux(secured.target('later'), boss('right'))
    const authorization = `Basic ${Buffer.from('boss:right').toString('base64')}`
    await fetch(`${secured.url}/query`, {
      method: 'POST',
      headers: { authorization },
      body: new URLSearchParams({ q: 'CREATE DATABASE later' }),
    })
    const end = start(secured.target('later'), boss('right'))
    await until('it to be sent', () => readForwardReport(home)?.waiting === 0)
    await end()
    const store = new InfluxStore({ connection, site: 'S' })
    expect(await store.range(reading(1, 1).series, timeUs(0), timeUs(4e15))).toHaveLength(1)
  })

  it('sends everything again to another place, and after an older back-up was brought back', async () => {
    const { local, sendAll, there } = openHome(influx)
    const [first, second] = [await newDatabase(), await newDatabase()]
    local.appendNow([reading(1, 1), reading(2, 2)])
    await sendAll(influx.target(first))
    await sendAll(influx.target(second))
    expect(await there(second)).toHaveLength(2)

    // the number 2 is given out anew, to another reading
    local.db.exec(
      "DELETE FROM reading WHERE seq = 2; UPDATE sqlite_sequence SET seq = 1 WHERE name = 'reading'",
    )
    local.appendNow([reading(5, 5)])
    await sendAll(influx.target(second))
    expect((await there(second)).map((r) => [r.seq, r.value])).toContainEqual([2, 5])
  })

  it('tells a viewer without the local file what has arrived, late readings too, each once, and how old it is', async () => {
    const { local, sendAll } = openHome(influx)
    const database = await newDatabase()
    const viewer = createDeliveryViewer(connectInflux(influx.target(database), NONE), 'S')
    let cursor: Cursor = BEGINNING
    const look = async (s: number) => {
      const delivered = await viewer.next(cursor, timeUs(T0 + s * 1e6))
      cursor = delivered.cursor
      return { values: delivered.readings.map((r) => r.value), delayedS: delivered.delayedS }
    }
    expect(await look(0)).toEqual({ values: [], delayedS: null })
    local.appendNow([reading(10, 10), reading(30, 30), reading(10, 4, 'fluid-temperature')])
    await sendAll(influx.target(database))
    expect(await look(40)).toEqual({ values: [10, 30, 4], delayedS: 10 })
    expect(await look(41)).toEqual({ values: [], delayedS: 11 })

    // a late one; and the forwarder's clock has stepped back by an hour meanwhile
    local.appendNow([reading(20, 20)])
    await sendAll(influx.target(database), NONE, () => T0 - 3600e6)
    expect(await look(50)).toEqual({ values: [20], delayedS: 20 })
    expect((await viewer.next(fromNow(timeUs(T0 + 60e6)), timeUs(T0))).readings).toEqual([])
  })
})
