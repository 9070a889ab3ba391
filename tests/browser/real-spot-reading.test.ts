import type { Browser, Locator, Page } from 'playwright-core'
import { v7 as uuidv7 } from 'uuid'
import { afterAll, beforeAll, describe, expect, it } from 'vitest'
import type { BatchRecord, LiveBench } from '../../server/wire.ts'
import { OPENING, person, post } from '../support/api.ts'
import { type RealBench, startRealBench } from '../support/real-bench.ts'
import { launch, type Watched, watched, wcagFaults } from './browser.ts'
import { seen } from './screen.ts'

const CALIBRATION = {
  instrument: 'meter-a',
  channel: 'dissolved-ozone',
  slope: 1,
  zero: 0,
  u_slope_percent: 2,
  u_zero: 0.05,
  tau_s: 2,
  u_tau_s: 0.2,
  method: 'indigo, simulated',
}

/** A dipped probe on the program as it is built: taken by touch on a phone. The steps build on each other. */
describe('a spot reading of a dipped probe', { timeout: 120_000 }, () => {
  let real: RealBench
  let browser: Browser
  let open: Watched
  let page: Page
  let batch: string
  let ines: ReturnType<typeof person>

  beforeAll(async () => {
    real = await startRealBench()
    ines = person(real.address)
    const calibrated = await post(real.address, '/api/calibrations', {
      id: uuidv7(),
      who: 'Ines',
      data: CALIBRATION,
    })
    if (calibrated.status !== 200) throw new Error(JSON.stringify(calibrated.body))
    if (OPENING.kind !== 'batch-opened') throw new Error('no opening')
    batch = await ines.opens({ ...OPENING, data: { ...OPENING.data, measuring_place: 'dipped' } })
    await ines.does(batch, { kind: 'ozone-on' })
    browser = await launch()
    const context = await browser.newContext({
      viewport: { width: 390, height: 844 },
      hasTouch: true,
      reducedMotion: 'reduce',
    })
    await context.addInitScript(`sessionStorage.setItem('spargewatch.who', 'M. Example')`)
    open = await watched(context)
    page = open.page
    page.setDefaultTimeout(10_000)
    await page.goto(`${real.address}/bench/A`)
  })

  afterAll(async () => {
    await browser?.close()
    await real?.end()
  })

  const dialog = (): Locator => page.getByRole('dialog')
  const tap = (name: string | RegExp, within: Locator = page.locator('body')): Promise<void> =>
    within
      .getByRole('button', { name, exact: typeof name === 'string' })
      .first()
      .tap()

  it('never shows the meter as live, and says to take a reading', async () => {
    await page.locator('.potency-not-live').waitFor()
    expect(await seen(page.locator('.potency'))).toMatch(
      /No reading.*Measured only when a spot reading is taken/s,
    )
    const next = page.getByRole('button', { name: /^Take a spot reading/ })
    expect(await next.count()).toBe(1)
    const bench: LiveBench = await ines.bench()
    expect(bench).toMatchObject({ spot_mode: true, metered: true, potency: { state: 'no-reading' } })
  })

  it('is refused while the probe is marked as out, in words', async () => {
    await ines.does(batch, { kind: 'probe-out' })
    await tap(/^Take a spot reading/)
    await dialog()
      .locator('.spot-words')
      .getByText('The probe is marked as out. Put it in, tap “Probe in”')
      .waitFor()
    expect(await wcagFaults(page)).toEqual([])
    await tap('Cancel', dialog())
    await ines.does(batch, { kind: 'probe-in' })
  })

  it('counts how far it is, and the server takes no value before it has settled', async () => {
    await ines.does(batch, { kind: 'ozone-off' })
    await ines.does(batch, { kind: 'flow-off' })
    await page.locator('.phase').getByText('Standing').waitFor()
    await tap(/^Take a spot reading/)
    await dialog()
      .getByText(/^Settling, \d+ s\.$/)
      .waitFor()
    const to = new Date().toISOString()
    const from = new Date(Date.now() - 5000).toISOString()
    const early = await ines.enter(batch, { kind: 'spot-reading', data: { from, to } }, 1000)
    expect(early).toMatchObject({
      status: 422,
      body: { detail: expect.stringMatching(/no settled value: Settling/) },
    })
  })

  it('enters one reading by itself once it has settled, with its uncertainty part by part', async () => {
    await page
      .locator('.undo-bar')
      .getByText(/Spot reading entered for/)
      .waitFor({ timeout: 60_000 })
    const { entries }: BatchRecord = await ines.record(batch)
    const taken = entries.filter((e) => e.kind === 'spot-reading')
    expect(taken).toHaveLength(1)
    const [reading] = taken
    expect(reading?.who).toMatchObject({ name: 'M. Example' })
    const data = reading?.data as Record<string, number> & { calibration: { u_mg_l: number } }
    expect(data['value_mg_l']).toBeGreaterThan(1)
    expect(data['u_mg_l']).toBeGreaterThan(0)
    expect(data['u_mg_l']).toBeLessThan(0.5)
    expect(data.calibration.u_mg_l).toBeGreaterThan(0.05)
    expect(data['waited_s']).toBeGreaterThanOrEqual(40)
  })

  it('shows it with its time and age, never as live, and what is estimated now in another form', async () => {
    const figure = page.locator('.potency-by-hand')
    await figure.waitFor()
    expect(await seen(figure)).toMatch(
      /Spot reading, .* ago.*measured\s[\d.]+\sµg\/mL at (\d{4}-\d\d-\d\d )?\d\d:\d\d.*One reading, not a live value.*calibrated/s,
    )
    expect(await page.locator('.potency-live').count()).toBe(0)
    expect(await wcagFaults(page)).toEqual([])
    await page
      .locator('.entry')
      .getByText(/mg\/L \(1 s\) by meter-a, settled after \d+ s; calibration .* apart; response time 2 s/)
      .first()
      .waitFor()
  })

  it('a batch measured all the time takes none', async () => {
    await ines.does(batch, { kind: 'discarded' })
    if (OPENING.kind !== 'batch-opened') throw new Error('no opening')
    const next = await ines.opens({ ...OPENING, data: { ...OPENING.data, measuring_place: 'in-the-flask' } })
    await page.locator('.potency-live').waitFor()
    expect(await page.getByRole('button', { name: /^Take a spot reading/ }).count()).toBe(0)
    const asked = { from: new Date(Date.now() - 60_000).toISOString(), to: new Date().toISOString() }
    expect(await ines.enter(next, { kind: 'spot-reading', data: asked }, 1000)).toMatchObject({
      status: 422,
      body: { detail: expect.stringContaining('measured all the time') },
    })
    expect(open.faults).toEqual([])
  })
})
