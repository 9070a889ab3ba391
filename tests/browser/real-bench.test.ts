import { readFileSync } from 'node:fs'
import type { Browser, Locator, Page } from 'playwright-core'
import { afterAll, beforeAll, describe, expect, it } from 'vitest'
import type { BatchRecord } from '../../server/wire.ts'
import { get } from '../support/api.ts'
import { type RealBench, startRealBench } from '../support/real-bench.ts'
import { launch, type Watched, watched, wcagFaults } from './browser.ts'
import { CALIBRATION, CHOSEN, TYPED } from './real-bench-typed.ts'
import { seen } from './screen.ts'

/**
 * One batch from the first to the last entry, on the program as it is built: daemon and server in processes of
 * their own, a simulated bench on a socket, a browser with real clicks and keys. The steps build on each other.
 */
describe('a batch at a real bench', { timeout: 60_000 }, () => {
  let real: RealBench
  let address: string
  let browser: Browser
  let open: Watched
  let page: Page
  let ozoneOnMs = 0

  beforeAll(async () => {
    real = await startRealBench()
    address = real.address
    browser = await launch()
    const context = await browser.newContext({
      viewport: { width: 1366, height: 768 },
      reducedMotion: 'reduce',
      acceptDownloads: true,
    })
    open = await watched(context)
    page = open.page
    page.setDefaultTimeout(10_000)
  })

  afterAll(async () => {
    await browser?.close()
    await real?.end()
  })

  const press = (name: string | RegExp): Promise<void> =>
    page
      .getByRole('button', { name, exact: typeof name === 'string' })
      .first()
      .click()
  const dialog = (): Locator => page.getByRole('dialog')
  const enter = async (when: string): Promise<void> => {
    await dialog().getByRole('button', { name: when, exact: true }).click()
    await page.locator('.undo-bar').getByText('entered for').waitFor()
  }
  const number = async (): Promise<number> => Number(await seen(page.locator('.potency-live .number')))
  const batchId = async (): Promise<string> =>
    (await page.getByRole('link', { name: /^Batch A-/ }).getAttribute('href'))?.split('/').at(-1) ?? ''

  it('takes a calibration with its uncertainties', async () => {
    await page.goto(`${address}/instruments`)
    await page.getByText('Enter a calibration').click()
    await page.getByLabel('Channel').selectOption('dissolved-ozone')
    for (const [label, text] of CALIBRATION) await page.getByLabel(new RegExp(`^${label}`)).fill(text)
    await press('Enter calibration')
    await page.getByText(/indigo, simulated\. Probe response time 2\.0 ± 0\.2 s/).waitFor()
    expect(await wcagFaults(page)).toEqual([])
  })

  it('opens a batch with everything that can be typed', async () => {
    await page.getByRole('link', { name: 'Benches' }).click()
    await page.locator('.slip-live').waitFor()
    expect(await wcagFaults(page)).toEqual([])
    await page.getByRole('link', { name: /^Bench A/ }).click()
    await press(/^Open batch/)
    for (const [label, value] of CHOSEN)
      await dialog()
        .getByLabel(new RegExp(`^${label}`))
        .selectOption(value)
    for (const [label, text] of TYPED)
      await dialog()
        .getByRole('textbox', { name: new RegExp(`^${label}`) })
        .fill(text)
    expect(await dialog().getByLabel('Your name').inputValue()).toBe('M. Example')
    await enter('Now')
    await page.getByText('Being set up').first().waitFor()
    expect(await seen(page.locator('.batch-line'))).toMatch(
      /Saline.*lot L 4471.*250\smL left of 250\smL.*4\.5 µg\/mL/s,
    )
  })

  it('shows the cautions before ozone on, works by keyboard, and then the number rises live', async () => {
    const before = await number()
    await page
      .getByRole('button', { name: /^Ozone on/ })
      .first()
      .focus()
    await page.keyboard.press('Enter')
    const cautions = await seen(dialog())
    for (const words of [
      'Ozone must not be breathed',
      'Never bubble into a closed flask',
      'feeds fire',
      'not sterile',
    ])
      expect(cautions).toContain(words)
    await dialog().getByRole('button', { name: 'Now', exact: true }).focus()
    await page.keyboard.press('Enter')
    await page.locator('.phase').getByText('Bubbling').waitFor()
    ozoneOnMs = Date.now()
    await expect.poll(number, { timeout: 20_000 }).toBeGreaterThan(before + 2)
    const sooner = await number()
    await expect.poll(number, { timeout: 10_000 }).toBeGreaterThan(sooner)
    expect(await wcagFaults(page)).toEqual([])
  })

  it('takes a wrong tap back within ten seconds', async () => {
    await page.getByText('Other entries').click()
    await press(/^Disconnected/)
    await enter('Now')
    await press(/^Take it back/)
    await page.getByText('The record keeps both').waitFor()
    await page.getByText('Disconnected (taken back)').waitFor()
  })

  it('enters ozone off for half a minute ago, then flow off', async () => {
    await page.waitForTimeout(Math.max(0, 33_000 - (Date.now() - ozoneOnMs)))
    await press(/^Ozone off/)
    await enter('30 s ago')
    await page.locator('.phase').getByText('Purge').waitFor()
    await press(/^Flow off/)
    await enter('Now')
    await page.locator('.phase').getByText('Standing').waitFor()
    const { entries } = await get<BatchRecord>(address, `/api/batches/${await batchId()}`)
    const off = entries.find((e) => e.kind === 'ozone-off')
    const late_s = (Date.parse(off?.entered_at ?? '') - Date.parse(off?.happened_at ?? '')) / 1000
    expect(late_s).toBeGreaterThan(29)
    expect(late_s).toBeLessThan(33)
  })

  it('draws up 20 mL: arithmetic as a range, the value at draw kept and never shown as live', async () => {
    await page.locator('.potency-live').waitFor()
    await press(/^Draw up/)
    await dialog().getByLabel('Volume drawn').fill('20')
    await dialog()
      .getByText(/holds \d/)
      .waitFor()
    // One look: a moment later value and amount are those of the next second.
    const words = await seen(dialog())
    const [, value, low, high] = /Value shown: ([\d.]+) µg\/mL, ([\d.]+) to ([\d.]+)\./.exec(words) ?? []
    const [, least, most] = /holds (\d+) to (\d+) µg/.exec(words) ?? []
    expect(Number(value)).toBeGreaterThan(2)
    // 20 mL of either end of the band, which is shown to 0.1 µg/mL: within 20 × 0.05 and the rounding to 1 µg
    expect(Math.abs(Number(least) - 20 * Number(low))).toBeLessThanOrEqual(1.5)
    expect(Math.abs(Number(most) - 20 * Number(high))).toBeLessThanOrEqual(1.5)
    await enter('Now')
    await page.locator('.drawn').waitFor()
    const drawn = await seen(page.locator('.drawn'))
    const [, atDraw] =
      /20\smL, 230\smL left; at draw ([\d.]+) µg\/mL \([\d.]+ to [\d.]+\), calibrated/.exec(drawn) ?? []
    expect(Math.abs(Number(atDraw) - Number(value))).toBeLessThan(1)
    expect(drawn).toContain('They are not the value in the syringe now')
    expect(await page.locator('.drawn .potency-live, .drawn .number').count()).toBe(0)
  })

  it('says at once that it is not connected when the server is killed, and recovers by itself', async () => {
    real.killServer()
    await page.locator('.not-connected').waitFor({ timeout: 5000 })
    expect(await seen(page.locator('.not-connected'))).toContain(
      'This screen is not connected: numbers are old',
    )
    expect(await page.locator('.potency-live').count()).toBe(0)
    expect(await page.locator('.potency-not-live').count()).toBe(1)
    await real.startServer()
    await page.locator('.potency-live').waitFor({ timeout: 15_000 })
    expect(await page.locator('.not-connected').count()).toBe(0)
  })

  it('takes the number for old within 5 s when the meter falls silent, alarms, and lets a person acknowledge', async () => {
    await real.silenceMeter()
    await page.locator('.potency-not-live').waitFor({ timeout: 5000 })
    expect(await page.locator('.potency-live').count()).toBe(0)
    await page
      .locator('.alarm-strip .alarm')
      .getByText('No reading arrives from the meter')
      .first()
      .waitFor({ timeout: 15_000 })
    await page.getByRole('link', { name: 'Acknowledge', exact: true }).click()
    await page.locator('.alarm').getByLabel('Why').fill('bench switched off')
    expect(await wcagFaults(page)).toEqual([])
    await press('Acknowledge')
    await page.getByText(/acknowledged by M\. Example/).waitFor()
    await page.getByText(/^Alarm acknowledged/).waitFor()
    await page.getByRole('link', { name: 'Bench A' }).click()
  })

  it('discards, and the record holds every entry with who and when, the fits and the head of the ledger', async () => {
    await press(/^Discard/)
    await enter('Now')
    await page.getByRole('link', { name: /^Record of batch A-/ }).click()
    await page.locator('.record').getByText('Head hash').waitFor()
    const record = await get<BatchRecord>(address, `/api${new URL(page.url()).pathname}`)
    expect(record.entries.length).toBeGreaterThan(8)
    const lines = page.locator('.record .entry')
    expect(await lines.count()).toBe(record.entries.length)
    for (const [i, entry] of record.entries.entries()) {
      const line = await seen(lines.nth(i))
      expect(line, entry.kind).toContain(entry.who.name)
      expect(line, entry.kind).toMatch(/\d{4}-\d\d-\d\d \d\d:\d\d:\d\d/)
    }
    const text = await seen(page.locator('.record'))
    for (const words of [
      'Rise while bubbling',
      'Decay while standing',
      'Disconnected (taken back)',
      'Alarm raised',
    ])
      expect(text, words).toContain(words)
    expect(text).toContain(record.ledger_head)
    expect(await wcagFaults(page)).toEqual([])
  })

  it('hands out readings and record as files that hold what was entered', async () => {
    const download = async (name: string): Promise<string> => {
      const [file] = await Promise.all([
        page.waitForEvent('download'),
        page.getByRole('link', { name, exact: true }).click(),
      ])
      return readFileSync(await file.path(), 'utf8')
    }
    const readings = (await download('Readings (CSV)')).split('\n').filter((l) => /^\d{4}-/.test(l))
    expect(readings.length).toBeGreaterThan(30)
    const record = await download('Record (CSV)')
    for (const words of [
      'batch-opened',
      'L 4471',
      'M. Example',
      'ozone-off',
      'undone',
      'drawn-up',
      'discarded',
    ])
      expect(record, words).toContain(words)
    expect(readings.join('')).toMatch(/\d\.\d/)
  })

  it('wrote no error into the browser’s console but those of the killed server', () => {
    expect(
      open.faults.filter((fault) => !/Failed to load resource|WebSocket connection|ERR_/.test(fault)),
    ).toEqual([])
  })
})
