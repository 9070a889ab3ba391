import { join } from 'node:path'
import { afterEach, describe, expect, it, onTestFinished } from 'vitest'
import { connectInflux } from '../../ingest/store/influx-connection.ts'
import { SqliteStore } from '../../ingest/store/sqlite-store.ts'
import { timeUs } from '../../ingest/units.ts'
import type { EntryView, Problem, ReadingsAnswer, Viewed } from '../../server/wire.ts'
import { get, person, post } from '../support/api.ts'
import { freePort } from '../support/free-port.ts'
import { makeHome, tcpPort, wiring } from '../support/home.ts'
import { hasInflux, startInflux } from '../support/influx-server.ts'
import { endAll, runPart, runToEnd } from '../support/program.ts'
import { until } from '../support/until.ts'

afterEach(endAll)

/** As the daemon would have stored them: at this many seconds before now. */
const storeAt = (home: string, readings: readonly (readonly [agoS: number, value: number])[]): void => {
  const store = new SqliteStore({ path: join(home, 'readings.db'), kind: 'real', writes: true })
  const now = Date.now()
  store.appendNow(
    readings.map(([agoS, value]) => ({
      series: { bench: 'A', instrument: 'meter-a', channel: 'dissolved-ozone' as const },
      timeUs: timeUs(Math.round(now - 1000 * agoS) * 1000),
      bootId: 'b',
      monoMs: now - 1000 * agoS,
      raw: value,
      value,
      quality: 'good' as const,
      movedUs: 0,
    })),
  )
  store.db.close()
}

describe.skipIf(!hasInflux)('a viewer without the local files', () => {
  it('shows what InfluxDB knows with its age, late readings too, takes nothing, and says when nothing new can be read', async () => {
    const influx = await startInflux()
    onTestFinished(() => influx.close())
    for (const name of ['ozone', 'rec']) await influx.tell(`CREATE DATABASE ${name}`)
    const target = `influx: { version: 1, url: "${influx.url}", database: ozone, record_database: rec }`
    const yaml = wiring({ port: tcpPort(9), benches: ['A', 'B'] })
    const written = yaml.replace('commit_interval_ms: 50', `commit_interval_ms: 50, ${target}`)
    const home = makeHome(written)
    storeAt(home, [
      [120, 10],
      [60, 12],
    ])
    const serverPort = String(await freePort())
    const server = runPart(['serve'], { home, env: { PORT: serverPort } })
    for (const part of [
      server,
      runPart(['forward', '--wait-scale', '0.1'], { home }),
      runPart(['mirror', '--wait-scale', '0.1'], { home }),
    ])
      await part.started()
    await person(`http://127.0.0.1:${serverPort}`).opens()
    await until('the readings to be there', async () =>
      (await influx.tell('SELECT count(value) FROM reading', 'ozone')).includes(',2]'),
    )

    // another machine: the same wiring file, nothing else
    const viewer = runPart(['view'], { home: makeHome(written) })
    const { address } = await viewer.started()
    const viewed = () => get<Viewed>(address, '/api/viewed')
    const ozone = async () => (await viewed()).benches[0]?.channels[0]
    const first = await until('the newest reading', async () => {
      const now = await ozone()
      return now?.value === 12 && now
    })
    expect(first).toMatchObject({ channel: 'dissolved-ozone', unit: 'mg/L', quality: 'good' })
    expect(first.age_s).toBeGreaterThan(59)
    const whole = await viewed()
    expect(whole.delayed_s).toBeGreaterThan(59)
    expect(whole).toMatchObject({ trouble: null, proved: true, record_mirrored: true })
    expect(whole.benches[1]).toEqual({ bench: 'B', name: 'Bench B', simulated: false, channels: [] })

    const chart = () => {
      const [from, to] = [Date.now() - 3_600_000, Date.now()].map((ms) => new Date(ms).toISOString())
      const query = new URLSearchParams({
        bench: 'A',
        channel: 'dissolved-ozone',
        from: from ?? '',
        to: to ?? '',
      })
      return get<ReadingsAnswer>(address, `/api/readings?${query}`)
    }
    const values = async () => (await chart()).points.map((p) => p.mean)
    expect(await values()).toEqual([10, 12])
    expect((await chart()).calibrated).toBe(false)

    // a late one appears in its place and is not taken for the newest
    const before = (await viewed()).delivered
    storeAt(home, [[90, 11]])
    await until('the late reading to be delivered', async () => (await viewed()).delivered > before)
    expect(await values()).toEqual([10, 11, 12])
    expect((await ozone())?.value).toBe(12)
    // a newer one is
    storeAt(home, [[1, 13]])
    const newer = await until('the newer reading', async () => {
      const now = await viewed()
      return now.benches[0]?.channels[0]?.value === 13 && now
    })
    expect(newer.delayed_s).toBeGreaterThan(0.9)
    expect(newer.delayed_s).toBeLessThan(59)

    const { entries } = await until('the record', async () => {
      const answer = await get<{ entries: EntryView[] }>(address, '/api/entries')
      return answer.entries.length > 0 && answer
    })
    expect(entries[0]).toMatchObject({ kind: 'batch-opened', who: { name: 'Ines' } })

    const refused = await post<Problem>(address, `/api/batches/${entries[0]?.batch}/entries`, {})
    expect(refused).toMatchObject({
      status: 403,
      type: expect.stringContaining('application/problem+json'),
      body: { title: 'read only', detail: 'this is a read-only viewer: nothing can be entered here' },
    })
    expect((await fetch(`${address}/`)).headers.get('content-type')).toContain('text/html')

    await influx.kill()
    const away = await until('it to say that nothing new can be read', async () => {
      const now = await viewed()
      return now.trouble !== null && now
    })
    expect(away.trouble).toContain('did not answer')
    expect(away.benches[0]?.channels[0]?.value).toBe(13)
    await influx.start()
    await until('it to read again', async () => (await viewed()).trouble === null)

    // it has left nothing there: the program at the benches verifies its mirror
    expect(await runToEnd(['ledger', 'verify', '--mirror'], { home })).toMatchObject({ code: 0 })
    const connection = connectInflux(influx.target('ozone'), { kind: 'none' })
    const [groups = []] = await connection.query('SELECT count(value) FROM reading')
    expect(groups[0]?.rows[0]?.['count']).toBe(4)
  }, 180_000)

  it('is refused where there is nothing to view', async () => {
    const done = await runToEnd(['view'], { home: makeHome(wiring({ port: tcpPort(9) })) })
    expect(done.code).toBe(2)
    expect(done.stderr).toContain('there is nothing to view: store.influx is not set')
  })
})
