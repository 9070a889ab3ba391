import { join } from 'node:path'
import { afterEach, describe, expect, it, onTestFinished } from 'vitest'
import type { NewReading } from '../../ingest/reading/reading.ts'
import { connectInflux } from '../../ingest/store/influx-connection.ts'
import { InfluxStore } from '../../ingest/store/influx-store.ts'
import { readForwardReport } from '../../ingest/store/outbox.ts'
import { SqliteStore } from '../../ingest/store/sqlite-store.ts'
import { timeUs } from '../../ingest/units.ts'
import { makeHome, readingsOf, tcpPort, wiring } from '../support/home.ts'
import { hasInflux, startInflux } from '../support/influx-server.ts'
import { endAll, runCommand, runPart, runToEnd } from '../support/program.ts'
import { until } from '../support/until.ts'

afterEach(endAll)

const DAY_S = 86_400
const DAYS = 12
/** Four days short of the server's first retention of 8 days: the beginning is refused at first. */
const history = (nowS: number): NewReading[] =>
  Array.from({ length: DAYS * 2000 }, (_, i) => {
    const s = nowS - DAYS * DAY_S + (i * DAY_S) / 2000
    const value = i % 500 === 7 ? null : Math.sin(i / 90) * 10 + 12
    return {
      series: {
        bench: 'A',
        instrument: 'meter-a',
        channel: i % 2 === 0 ? ('dissolved-ozone' as const) : ('fluid-temperature' as const),
      },
      timeUs: timeUs(Math.round(s * 1e6)),
      bootId: 'boot-1',
      monoMs: i * 43.2,
      raw: value,
      value,
      quality: value === null ? ('fault' as const) : ('good' as const),
      movedUs: 0,
    }
  })

describe.skipIf(!hasInflux)('spargewatch store copy', () => {
  it('brings over what is missing, goes on after a kill, and finds count and checksum of every day the same', async () => {
    const influx = await startInflux()
    onTestFinished(() => influx.close())
    await influx.tell('CREATE DATABASE ozone WITH DURATION 8d')
    const target = `influx: { version: 1, url: "${influx.url}", database: ozone }`
    const yaml = wiring({ port: tcpPort(9) })
    const home = makeHome(yaml.replace('commit_interval_ms: 50', `commit_interval_ms: 50, ${target}`))
    const store = new SqliteStore({ path: join(home, 'readings.db'), kind: 'real', writes: true })
    store.appendNow(history(Math.floor(Date.now() / 1000)))
    store.db.close()
    const local = readingsOf(home)

    const forwarder = runPart(['forward', '--wait-scale', '0.1'], { home })
    await until('all to be sent or refused', () => readForwardReport(home)?.seq === local.length)
    const refused = (await until('the refused ones to be told', () => readForwardReport(home)))?.refused ?? 0
    expect(refused).toBeGreaterThan(3 * 2000)
    expect(refused).toBeLessThan(5 * 2000)
    const first = await runToEnd(['store', 'copy', '--wait-scale', '0.01'], { home })
    expect(first.code).toBe(2)
    expect(first.stderr).toMatch(
      /days are not the same at .*readings refused, 0 stand there with other content/,
    )

    // the clinic gives its server room, and what was refused is brought over; the first try is killed
    await influx.tell('ALTER RETENTION POLICY autogen ON ozone DURATION 0s')
    const killed = runCommand(['store', 'copy'], { home })
    await killed.says(/days, \d+ readings compared/)
    killed.kill('SIGKILL')
    await killed.ended()
    const copied = await runToEnd(['store', 'copy'], { home })
    expect(copied.stdout).toContain(`${local.length} readings of 2 series on`)
    expect(copied.stdout).toContain('count and checksum of every day are the same')
    expect(copied.code).toBe(0)
    expect(readForwardReport(home)?.refused).toBe(0)
    forwarder.kill('SIGTERM')
    await forwarder.ended()
    expect(readForwardReport(home)?.state).toBe('stopped')

    // somebody else writes over one reading there: it is found and left alone
    const connection = connectInflux(influx.target('ozone'), { kind: 'none' })
    const one = local.find((r) => r.value !== null)
    if (one === undefined) throw new Error('a reading was expected')
    const elsewhere = new InfluxStore({ connection, site: 'Test clinic' })
    await elsewhere.put([{ ...one, value: 99 }])
    const spoilt = await runToEnd(['store', 'copy'], { home })
    expect(spoilt).toMatchObject({ code: 2 })
    expect(spoilt.stderr).toContain('1 of ')
    expect(spoilt.stderr).toContain('1 stand there with other content and were left alone')
    const [there] = await elsewhere.range(one.series, one.timeUs, timeUs(one.timeUs + 1))
    expect(there?.value).toBe(99)
  }, 120_000)
})
