import { join } from 'node:path'
import { afterEach, describe, expect, it, onTestFinished } from 'vitest'
import type { NewReading } from '../../ingest/reading/reading.ts'
import { SqliteStore } from '../../ingest/store/sqlite-store.ts'
import { timeUs } from '../../ingest/units.ts'
import type { RefusedReadings } from '../../server/wire.ts'
import { get, person } from '../support/api.ts'
import { freePort } from '../support/free-port.ts'
import { makeHome, tcpPort, wiring } from '../support/home.ts'
import { hasInflux, startInflux } from '../support/influx-server.ts'
import { connected, startMeter, startTicking } from '../support/meter.ts'
import { endAll, runPart } from '../support/program.ts'
import { until } from '../support/until.ts'

afterEach(endAll)

const DAY_MS = 86_400_000
/** Older than the server keeps, one more than a page of the list holds. */
const TOO_OLD = 101

const storeThePast = (home: string): void => {
  const store = new SqliteStore({ path: join(home, 'readings.db'), kind: 'real', writes: true })
  const at = (ms: number): NewReading => ({
    series: { bench: 'A', instrument: 'meter-a', channel: 'dissolved-ozone' },
    timeUs: timeUs(Math.round(ms) * 1000),
    bootId: 'an-earlier-boot',
    monoMs: ms,
    raw: 1,
    value: 1,
    quality: 'good',
    movedUs: 0,
  })
  const now = Date.now()
  const tooOld = Array.from({ length: TOO_OLD }, (_, i) => at(now - 200 * DAY_MS + 1000 * i))
  store.appendNow([...tooOld, at(now - DAY_MS)])
  store.db.close()
}

describe.skipIf(!hasInflux)('InfluxDB away while readings arrive', () => {
  it('raises an alarm that returns to normal when the backlog is gone, and another for what it then refuses', async () => {
    const influx = await startInflux()
    onTestFinished(() => influx.close())
    await influx.tell('CREATE DATABASE ozone WITH DURATION 90d')
    await influx.kill()
    const meter = await startMeter()
    onTestFinished(() => meter.close())
    const yaml = wiring({ port: tcpPort(meter.port), intervalS: 0.1 })
    const target = `influx: { version: 1, url: "${influx.url}", database: ozone }`
    const home = makeHome(yaml.replace('commit_interval_ms: 50', `commit_interval_ms: 50, ${target}`))
    storeThePast(home)
    const port = String(await freePort())
    const parts = [
      runPart(['serve'], { home, env: { PORT: port } }),
      runPart(['daemon'], { home }),
      runPart(['forward', '--wait-scale', '0.1'], { home }),
    ]
    for (const part of parts) await part.started()
    await connected(meter)
    const ticking = startTicking(meter, 100)
    onTestFinished(ticking.stop)
    const ines = person(`http://127.0.0.1:${port}`)

    const raised = await until('the alarm', () => ines.siteAlarm('forwarding-backlog'), 90_000)
    expect(raised).toMatchObject({ state: 'unacknowledged', priority: 'low', bench: null, batch: null })
    expect(raised.what_to_do).toContain('Nothing is lost')
    expect((await ines.acknowledges(raised.key)).body).toMatchObject({
      state: 'acknowledged',
      acknowledged_by: 'Ines',
    })
    expect(await ines.siteAlarm('readings-refused')).toBeUndefined()

    await influx.start()
    const refused = await until('the refused ones to be told', () => ines.siteAlarm('readings-refused'))
    expect(refused).toMatchObject({ state: 'unacknowledged', priority: 'low' })
    await until(
      'the backlog to be gone',
      async () => (await ines.siteAlarm('forwarding-backlog')) === undefined,
    )
    expect((await ines.health()).forwarding).toMatchObject({ refused: TOO_OLD })

    const page = (query: string) =>
      get<RefusedReadings>(`http://127.0.0.1:${port}`, `/api/forwarding/refused${query}`)
    const first = await page('')
    expect([first.count, first.readings.length, first.readings[0]?.seq]).toEqual([TOO_OLD, 100, TOO_OLD])
    const rest = await page(`?before=${first.readings.at(-1)?.seq}`)
    expect(rest).toMatchObject({ count: TOO_OLD, readings: [{ seq: 1 }] })

    const history = await get<{ entries: { bench: string | null; data: Record<string, string> }[] }>(
      `http://127.0.0.1:${port}`,
      '/api/alarms/history',
    )
    const changes = history.entries.filter((e) => e.data['alarm'] === 'forwarding-backlog').reverse()
    expect(changes.map((e) => [e.bench, e.data['to']])).toEqual([
      [null, 'unacknowledged'],
      [null, 'acknowledged'],
      [null, 'normal'],
    ])
  }, 240_000)
})
