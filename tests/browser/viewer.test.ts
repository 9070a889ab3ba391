import { createServer } from 'node:http'
import type { AddressInfo } from 'node:net'
import { join } from 'node:path'
import type { Browser, Page } from 'playwright-core'
import { afterAll, beforeAll, describe, expect, it } from 'vitest'
import type { NewReading } from '../../ingest/reading/reading.ts'
import { connectInflux } from '../../ingest/store/influx-connection.ts'
import { noteLine, notesOf } from '../../ingest/store/influx-line.ts'
import { InfluxStore } from '../../ingest/store/influx-store.ts'
import { timeUs } from '../../ingest/units.ts'
import type { ServerConfig } from '../../server/config.ts'
import { createApp } from '../../server/http.ts'
import { createFollower, startFollowing } from '../../server/viewer/follow-deliveries.ts'
import { viewerRoutes } from '../../server/viewer/viewer-routes.ts'
import { hasInflux, type InfluxServer, startInflux } from '../support/influx-server.ts'
import { buildWeb, type WebBuild } from '../support/web-build.ts'
import { launch, watched, wcagFaults } from './browser.ts'
import { overTheSide, PICTURES, SIZES } from './pictures.ts'
import { seen } from './screen.ts'

const SITE = 'Example clinic'
const OZONE = { bench: 'A', instrument: 'meter-a', channel: 'dissolved-ozone' } as const
const TEMPERATURE = { ...OZONE, channel: 'fluid-temperature' } as const
const INFO = { site: SITE, port: 'p', fullScale: 50, intervalS: 1, wired: true }
const CONFIG = {
  site: SITE,
  zone: 'Europe/Lisbon',
  simulated: false,
  benches: [
    { id: 'A', name: 'Bench A', simulated: false, control: null },
    { id: 'B', name: 'Bench B', simulated: false, control: null },
  ],
} as unknown as ServerConfig

const reading = (series: NewReading['series'], agoS: number, value: number): NewReading => ({
  series,
  timeUs: timeUs(Math.round(Date.now() - agoS * 1000) * 1000),
  bootId: 'b',
  monoMs: 1e9 - agoS * 1000,
  raw: value,
  value,
  quality: 'good',
  movedUs: 0,
})

describe.skipIf(!hasInflux)('the page of a viewer', () => {
  let influx: InfluxServer
  let web: WebBuild
  let browser: Browser
  let page: Page
  let faults: string[]
  let url: string
  const closes: (() => unknown)[] = []
  let deliver: (readings: readonly NewReading[]) => Promise<void>

  beforeAll(async () => {
    influx = await startInflux()
    await influx.tell('CREATE DATABASE ozone')
    const connection = connectInflux(influx.target('ozone'), { kind: 'none' })
    const store = new InfluxStore({ connection, site: SITE })
    deliver = async (readings) => {
      const { stored } = await store.append(readings)
      const notes = notesOf(stored, timeUs(Date.now() * 1000))
      expect(await connection.write(notes.map((note) => noteLine(SITE, note)))).toEqual({
        kind: 'acknowledged',
      })
    }
    const rise = Array.from({ length: 300 }, (_, i) =>
      reading(OZONE, 1500 - 5 * i + 34, 22 * (1 - Math.exp(-i / 60))),
    )
    await deliver([...rise, reading(TEMPERATURE, 34, 20.4)])
    web = await buildWeb()
    const series = [
      { ...INFO, ...OZONE, unit: 'mg/L' },
      { ...INFO, ...TEMPERATURE, unit: '°C' },
    ]
    const nowUs = () => timeUs(Date.now() * 1000)
    const { step, followed } = createFollower({ connection, site: SITE, series, nowUs })
    closes.push(startFollowing(step))
    const routes = viewerRoutes({
      ...{ config: CONFIG, version: '0.1.0', series, readings: connection, record: null, proved: true },
      ...{ followed, nowMs: Date.now },
    })
    const unexpected = (error: unknown) => void faults.push(String(error))
    const app = createApp({
      ...{ routes, version: '0.1.0', screens: web.root, page: 'viewer.html', readOnly: true },
      onUnexpected: unexpected,
    })
    const http = createServer(app)
    await new Promise<void>((up) => http.listen(0, '127.0.0.1', up))
    closes.push(
      () => http.closeAllConnections(),
      () => http.close(),
    )
    url = `http://127.0.0.1:${(http.address() as AddressInfo).port}`
    browser = await launch()
    const context = await browser.newContext({ timezoneId: 'America/New_York', reducedMotion: 'reduce' })
    ;({ page, faults } = await watched(context))
  })

  afterAll(async () => {
    for (const close of closes) close()
    await browser.close()
    await web.remove()
    await influx.close()
  })

  it('says first that nothing is live, gives each value its age, and breaks no rule at any size', async () => {
    await page.goto(url)
    await page.getByText(/delayed by/).waitFor()
    await page.locator('canvas').waitFor()
    const words = await seen(page.locator('body'))
    expect(words).toMatch(/Not live: delayed by \d+\s(s|min)\./)
    expect(words).toContain('Do not draw up by these numbers')
    expect(words).toMatch(/\d+\s(s|min) ago dissolved ozone was 2[12]\.\d µg\/mL at .*, not calibrated/)
    expect(words).toMatch(/fluid temperature: 20\.4 °C, .* ago/)
    expect(words).toContain('No reading of this bench has come.')
    expect(await page.locator('.now').count()).toBe(0)
    for (const size of SIZES) {
      await page.setViewportSize(size)
      for (const colorScheme of ['dark', 'light'] as const) {
        await page.emulateMedia({ colorScheme })
        await page.screenshot({ path: join(PICTURES, `viewer-${size.width}-${colorScheme}.png`) })
        expect(await overTheSide(page)).toBeLessThanOrEqual(0)
        expect(await wcagFaults(page)).toEqual([])
      }
    }
    expect(faults).toEqual([])
  })

  it('shows a newer value by itself, and keeps ageing the last one when InfluxDB is away', async () => {
    await page.goto(url)
    await deliver([reading(OZONE, 1, 7.3)])
    await page.getByText('7.3 µg/mL').waitFor()
    await influx.kill()
    await page.getByText('Nothing new can be read:').waitFor()
    const age = async () => {
      const found = /(\d+)\ss ago dissolved ozone was 7\.3/.exec(await seen(page.locator('body')))
      return Number(found?.[1] ?? Number.NaN)
    }
    const first = await age()
    await expect.poll(age, { timeout: 20_000 }).toBeGreaterThan(first + 2)
  })
})
