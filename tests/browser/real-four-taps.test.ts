import type { Browser, Page } from 'playwright-core'
import { v7 as uuidv7 } from 'uuid'
import { afterAll, beforeAll, describe, expect, it } from 'vitest'
import type { BatchRecord } from '../../server/wire.ts'
import { get, person, post } from '../support/api.ts'
import { SHEET, SHEET_SETTINGS } from '../support/method-sheet.ts'
import { type RealBench, startRealBench } from '../support/real-bench.ts'
import { launch, type Watched, watched, wcagFaults } from './browser.ts'
import { seen } from './screen.ts'

/** From the bench to an open batch in four taps, on the program as it is built. The steps build on each other. */
describe('starting a batch by a method sheet', { timeout: 60_000 }, () => {
  let real: RealBench
  let browser: Browser
  let open: Watched
  let page: Page

  beforeAll(async () => {
    real = await startRealBench()
    const change = (what: string, who: string, more: object) =>
      post(real.address, `/api/method-sheets/${SHEET}/${what}`, { id: uuidv7(), who, ...more })
    const bubble_again = { most_times: 1, most_ozone_min: 30 }
    await change('versions', 'Ruth', { after_version: 0, settings: { ...SHEET_SETTINGS, bubble_again } })
    await change('approval', 'Ines', { version: 1 })
    const ines = person(real.address)
    const earlier = await ines.opens({
      kind: 'batch-opened',
      data: { fluid: 'saline', volume_ml: 250, lot: 'L 4471', measuring_place: 'aliquot', purge: 'none' },
    })
    await ines.does(earlier, { kind: 'discarded' })
    browser = await launch()
    const context = await browser.newContext({
      viewport: { width: 390, height: 844 },
      hasTouch: true,
      reducedMotion: 'reduce',
    })
    // the name this tab was told before
    await context.addInitScript(`sessionStorage.setItem('spargewatch.who', 'M. Example')
      window.taps = 0
      addEventListener('pointerdown', () => { window.taps += 1 }, true)`)
    open = await watched(context)
    page = open.page
    page.setDefaultTimeout(10_000)
    await page.goto(`${real.address}/bench/A`)
  })

  afterAll(async () => {
    await browser?.close()
    await real?.end()
  })

  const tap = (name: string | RegExp): Promise<void> =>
    page
      .getByRole('button', { name, exact: typeof name === 'string' })
      .first()
      .tap()

  it('takes four taps: open, sheet, lot, now', async () => {
    await tap(/^Open batch/)
    await tap(/^Cold saline 250 mL/)
    await tap('L 4471')
    await tap('Now')
    await page.getByText('Being set up').first().waitFor()
    expect(await page.evaluate('window.taps')).toBe(4)
    const line = page.locator('.batch-line')
    expect(await seen(line)).toMatch(/Saline.*lot L 4471.*250\smL left of 250\smL.*15\.0 µg\/mL/s)
    expect(await wcagFaults(page)).toEqual([])
  })

  it('shows the steps of the sheet by phase and records a tick with the step’s id', async () => {
    const steps = page.locator('.steps')
    expect(await seen(steps)).toContain('Of the method sheet Cold saline 250 mL, version 1.')
    expect(await steps.locator('.step').count()).toBe(2)
    await page.getByRole('button', { name: 'Tick: Extraction is running.' }).tap()
    await steps.getByText(/ticked .*M\. Example/).waitFor()
    const id = (await page.getByRole('link', { name: /^Batch A-/ }).getAttribute('href'))?.split('/').at(-1)
    const { entries, summary } = await get<BatchRecord>(real.address, `/api/batches/${id}`)
    expect(entries.map((e) => [e.kind, e.data['step']])).toContainEqual(['step-ticked', 'extraction-on'])
    expect(summary.head).toMatchObject({
      lot: 'L 4471',
      prep_min: 7,
      missing: [],
      method_sheet: { sheet: SHEET, version: 1 },
    })
  })

  it('offers to bubble the same fill again as often as the sheet allows, and counts', async () => {
    for (const [button, phase] of [
      ['Ozone on', 'Bubbling'],
      ['Ozone off', 'Purge'],
      ['Flow off', 'Standing'],
      ['Bubble again', 'Bubbling'],
      ['Ozone off', 'Purge'],
      ['Flow off', 'Standing'],
    ] as const) {
      await tap(new RegExp(`^${button}`))
      if (button === 'Bubble again')
        await page
          .getByText(/bubbled again 0 of at most 1 times, ozone on for 0\.\d of at most 30 min/)
          .waitFor()
      await tap('Now')
      await page.locator('.phase').getByText(phase).waitFor()
    }
    expect(await page.getByRole('button', { name: /^Bubble again/ }).count()).toBe(0)
    await page.getByRole('link', { name: /^Batch A-/ }).tap()
    const record = page.locator('.record')
    await record.getByText('Head hash').waitFor()
    expect(await seen(record)).toMatch(/Method sheet\s+Cold saline 250 mL, version 1/)
    expect(await seen(record)).toMatch(/bubbled again 1 of at most 1 times/)
  })

  it('wrote no error into the browser’s console', () => {
    expect(open.faults).toEqual([])
  })
})
